"""Publish session: a session's tables -> pictures, words and figures to be published."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.report_files import SESSION_PAGE
from strapline.telling.charts.chart import needs_of
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.publish import sources
from strapline.telling.publish.folder import write_folder
from strapline.telling.publish.session_pictures import session_pictures
from strapline.telling.publish.session_text import left_of_session, session_text
from strapline.telling.publish.site import Addresses, foot
from strapline.telling.publish.tables import session_markdown, session_rows, stated_rows
from strapline.telling.session_tables import SessionTables

if TYPE_CHECKING:
    from strapline.ground.settings import Palette, Presentation, Publish, Tolerance

IN_TEXT = ("clocks", "aligned", "metrics", "episodes", "courses", "sentences", "stated")


def run(
    *,
    folder: str,
    bench: str,
    edition: str,
    tolerance: Tolerance,
    presentation: Presentation,
    publish: Publish,
    palette: Palette,
    **tables: str,
) -> None:
    """`folder` is called as the session's page is on the site; `bench`: JSON list of the register's
    tested devices; `edition`: the figures' fingerprint; `tables`: the session's."""
    address = Path(folder).name
    made = SessionTables.read(tables, tolerance, {*needs_of(*SESSION_CHARTS), *IN_TEXT})
    name = made.intake.session
    session = Addresses({name: address} if name != address else {}).within(made)
    rows = session_rows(session.intake, session.metrics, tolerance)
    alone = stated_rows(session.intake, session.stated)
    rows = pd.concat([rows, alone]) if len(alone) else rows
    order: Sequence[str] = json.loads(bench)
    write_folder(
        Path(folder),
        session_pictures(session, order, publish),
        rows,
        session_markdown(rows) + left_of_session(session),
        session_text(session, sources.of_session(session.intake, session.started_at, edition)),
        foot(presentation, SESSION_PAGE.format(address)),
        palette,
    )
