"""Chart: a session's tables -> what its pictures show."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.telling.charts.chart import needs_of, pictures_of
from strapline.telling.charts.picture import save_all
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.session_tables import SessionTables

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance


def run(*, charts: str, bench: str, tolerance: Tolerance, **tables: str) -> None:
    """`bench`: JSON list of the register's tested devices, in whose order they get their look;
    `tables`: the session's.

    Writes `charts`/<name>.json for each of SESSION_CHARTS.
    """
    session = SessionTables.read(tables, tolerance, needs_of(*SESSION_CHARTS))
    save_all(pictures_of(SESSION_CHARTS, session, json.loads(bench)), Path(charts))
