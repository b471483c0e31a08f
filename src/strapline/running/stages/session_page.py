"""Session page: a session's tables and pictures -> its page, where its figures come from, and the
figures as both pages show them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.files import write_model, write_text
from strapline.ground.records.shown import ShownFigures
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.charts.shown import on_page
from strapline.telling.report import origin as origins
from strapline.telling.report import session_page as told
from strapline.telling.report.explorer import as_script
from strapline.telling.report.site import rendered
from strapline.telling.session_tables import SessionTables
from strapline.telling.wearers import session_as_called

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation, Tolerance

NEEDED = (
    "clocks",
    "ledger",
    "aligned",
    "metrics",
    "offsets",
    "courses",
    "sentences",
    "consequences",
    "stated",
)


def run(
    *,
    charts: str,
    screens: list[str],
    page: str,
    origin: str,
    seconds: str,
    figures: str,
    made_with: str,
    tolerance: Tolerance,
    presentation: Presentation,
    **tables: str,
) -> None:
    """`screens`: screenshots with what was read of them; `made_with`: in words, by which versions
    the figures were made; `tables`: the session's."""
    session = session_as_called(SessionTables.read(tables, tolerance, NEEDED), presentation)
    shown = told.context(session, on_page(SESSION_CHARTS, Path(charts)))
    read = {Path(screen).stem for screen in screens if Path(screen).stat().st_size}
    come_from = origins.context(session, made_with, read)
    write_text(page, rendered(told.SESSION, presentation, shown))
    write_text(seconds, as_script(shown["looked_into"]))
    write_text(origin, rendered(origins.ORIGIN, presentation, come_from))
    as_shown = ShownFigures(page=told.shown(shown), origin=origins.shown(come_from))
    write_model(figures, as_shown)
