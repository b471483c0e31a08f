"""Session page: a session's tables and pictures -> its page of the report."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from strapline.charts.render import picture
from strapline.files import write_text
from strapline.report.pages import session_page
from strapline.session.alignment import SessionAlignment
from strapline.session.intake import read_intake
from strapline.session.ledger import SessionLedger
from strapline.tables.sessions import ALIGNED, CONSEQUENCES, METRICS, OFFSETS, SENTENCES

if TYPE_CHECKING:
    from strapline.settings import Presentation, Tolerance


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
    pictures: list[str],
    page: str,
    tolerance: Tolerance,
    presentation: Presentation,
) -> None:
    drawings = [Path(path) for path in pictures]
    html = session_page(
        read_intake(intake),
        METRICS.read(metrics),
        SessionLedger.model_validate_json(Path(ledger).read_bytes()),
        SessionAlignment.model_validate_json(Path(clocks).read_bytes()),
        OFFSETS.read(offsets),
        ALIGNED.read(aligned),
        SENTENCES.read(sentences),
        CONSEQUENCES.read(consequences),
        [picture(path.stem, path.read_text("utf-8")) for path in drawings],
        presentation,
        tolerance,
    )
    write_text(page, html)
