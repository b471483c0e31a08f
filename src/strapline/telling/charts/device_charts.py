"""All pictures of one device over its sessions, by name."""

from collections.abc import Sequence

import pandas as pd

from strapline.ground.settings import Presentation
from strapline.telling.charts import theme
from strapline.telling.charts.forest import forest
from strapline.telling.charts.render import Chart
from strapline.telling.charts.trend import trend


def device_charts(
    device: str,
    label: str,
    findings: pd.DataFrame,
    worn: pd.DataFrame,
    look: Presentation,
    bench: Sequence[str] = (),
    frame: theme.Frame = theme.WIDE,
) -> dict[str, Chart]:
    """Of FINDINGS and of `worn_table`."""
    return {
        "forest": forest(findings, device, label, look, bench, frame=frame),
        "trend": trend(worn, device, label, look, bench, frame=frame),
    }
