"""Chart: a session's tables -> its pictures, each as Vega-Lite JSON and SVG."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.running.stages.of_session import session_tables
from strapline.telling.charts.chart import drawn_of, needs_of
from strapline.telling.charts.kept import save_all
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.charts.theme import Look

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation, Tolerance


def run(
    *,
    charts: str,
    bench: str,
    kept: str,
    renderer: str,
    tolerance: Tolerance,
    presentation: Presentation,
    **tables: str,
) -> None:
    """`bench`: JSON list of the register's tested devices, in whose order they get their look;
    `kept`: folder of pictures made before, by the code `renderer`; `tables`: the session's.

    Writes `charts`/<name>.svg and .vl.json for each of SESSION_CHARTS.
    """
    session = session_tables(tables, tolerance, needs_of(*SESSION_CHARTS))
    look = Look(presentation, tuple(json.loads(bench)))
    save_all(drawn_of(SESSION_CHARTS, session, look), Path(charts), Path(kept), renderer)
