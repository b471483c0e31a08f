"""Chart: a session's tables -> its pictures, each as Vega-Lite JSON and SVG."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.files import read_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import read_intake
from strapline.ground.tables.sessions import ALIGNED, CONSEQUENCES, EPISODES, METRICS, OFFSETS
from strapline.telling.charts.kept import save_all
from strapline.telling.charts.session_charts import session_charts

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation, Tolerance


def run(
    *,
    intake: str,
    aligned: str,
    metrics: str,
    clocks: str,
    offsets: str,
    found: str,
    consequences: str,
    charts: str,
    bench: str,
    kept: str,
    renderer: str,
    tolerance: Tolerance,
    presentation: Presentation,
) -> None:
    """`bench`: JSON list of the register's tested devices, in whose order they get their look;
    `kept`: folder of pictures made before, by the code `renderer`.

    Writes `charts`/<name>.svg and .vl.json for each of `session_charts`.
    """
    drawn = session_charts(
        read_intake(intake),
        ALIGNED.read(aligned),
        METRICS.read(metrics),
        read_model(clocks, SessionAlignment),
        OFFSETS.read(offsets),
        EPISODES.read(found),
        CONSEQUENCES.read(consequences),
        tolerance,
        presentation,
        json.loads(bench),
    )
    save_all(drawn, Path(charts), Path(kept), renderer)
