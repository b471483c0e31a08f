"""Session page: a session's tables and pictures -> its page, and where its figures come from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.files import read_model, write_text
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import read_intake
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.tables.sessions import ALIGNED, CONSEQUENCES, METRICS, OFFSETS, SENTENCES
from strapline.telling.charts.render import pictures
from strapline.telling.report.pages import origin_page, session_page

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation, Tolerance

# In which a reader meets the pictures.
ORDER = (
    "traces",
    "cumulative",
    "scatter",
    "response",
    "bland-altman",
    "error-by-offset",
    "band-minutes",
)


def run(
    *,
    intake: str,
    clocks: str,
    metrics: str,
    ledger: str,
    offsets: str,
    aligned: str,
    sentences: str,
    consequences: str,
    charts: str,
    page: str,
    origin: str,
    made_with: str,
    tolerance: Tolerance,
    presentation: Presentation,
) -> None:
    """`made_with`: in words, by which versions the figures were made."""
    session, figures, seconds = read_intake(intake), METRICS.read(metrics), ALIGNED.read(aligned)
    account = read_model(ledger, SessionLedger)
    html = session_page(
        session,
        figures,
        account,
        read_model(clocks, SessionAlignment),
        OFFSETS.read(offsets),
        seconds,
        SENTENCES.read(sentences),
        CONSEQUENCES.read(consequences),
        sorted(pictures(Path(charts)), key=lambda drawing: ORDER.index(drawing.name)),
        presentation,
        tolerance,
    )
    write_text(page, html)
    own = (session, figures, account, seconds)
    write_text(origin, origin_page(*own, presentation, tolerance, made_with))
