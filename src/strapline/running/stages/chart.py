"""Chart: a session's tables -> its pictures as Vega-Lite JSON, which the page lets be drawn."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.telling.charts.chart import drawn_of, needs_of
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.charts.specification import save_all
from strapline.telling.charts.theme import Look
from strapline.telling.session_tables import SessionTables

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance


def run(*, charts: str, bench: str, tolerance: Tolerance, **tables: str) -> None:
    """`bench`: JSON list of the register's tested devices, in whose order they get their look;
    `tables`: the session's.

    Writes `charts`/<name>.vl.json for each of SESSION_CHARTS.
    """
    session = SessionTables.read(tables, tolerance, needs_of(*SESSION_CHARTS))
    save_all(drawn_of(SESSION_CHARTS, session, Look(tuple(json.loads(bench)))), Path(charts))
