"""All pictures of one session, by name."""

from collections.abc import Sequence

import pandas as pd

from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import SessionIntake
from strapline.ground.settings import Presentation, Tolerance
from strapline.ground.vocabulary import Clocks
from strapline.telling.charts import theme
from strapline.telling.charts.band_minutes import band_minutes
from strapline.telling.charts.bland_altman import bland_altman
from strapline.telling.charts.cumulative import cumulative
from strapline.telling.charts.error_by_offset import error_by_offset
from strapline.telling.charts.render import Chart
from strapline.telling.charts.response import response
from strapline.telling.charts.scatter import scatter
from strapline.telling.charts.traces import traces


def session_charts(
    intake: SessionIntake,
    aligned: pd.DataFrame,
    metrics: pd.DataFrame,
    clocks: SessionAlignment,
    offsets: pd.DataFrame,
    episodes: pd.DataFrame,
    consequences: pd.DataFrame,
    tolerance: Tolerance,
    look: Presentation,
    bench: Sequence[str] = (),
    frame: theme.Frame = theme.WIDE,
) -> dict[str, Chart]:
    """The tables of one session (ALIGNED in both views, METRICS, OFFSETS, EPISODES,
    CONSEQUENCES in both views) as charts."""
    view = aligned[aligned["alignment"] == Clocks.ALIGNED]
    told = consequences[consequences["alignment"] == Clocks.ALIGNED]
    return {
        "traces": traces(view, intake, tolerance, look, bench, episodes, frame),
        "cumulative": cumulative(view, metrics, intake, tolerance, look, bench, frame),
        "scatter": scatter(view, metrics, intake, tolerance, look, bench, frame),
        "response": response(view, metrics, intake, look, bench, frame),
        "bland-altman": bland_altman(view, metrics, intake, look, bench, frame),
        "error-by-offset": error_by_offset(offsets, clocks, intake, look, bench, frame),
        "band-minutes": band_minutes(told, intake, look, bench, frame),
    }
