"""Changes page: what moved since the edition before -> its page, and a text on corrections."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.files import write_text
from strapline.ground.tables.archive import DEVICES, labels_of
from strapline.ground.tables.editions import CHANGES
from strapline.ground.tables.table import about
from strapline.keeping.editions.corrections import corrections
from strapline.keeping.editions.history import moved_in
from strapline.telling.report.changes import CHANGES as CHANGES_PAGE
from strapline.telling.report.changes import context
from strapline.telling.report.corrections import corrections_text
from strapline.telling.report.site import rendered

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation, Tolerance


def run(
    *,
    changes: str,
    devices: str,
    page: str,
    text: str,
    results: str,
    tolerance: Tolerance,
    presentation: Presentation,
) -> None:
    """Editions are kept under `results`/editions, which no job declares."""
    labels = labels_of(DEVICES.read(devices))
    editions = about(changes)["editions"]
    kept = moved_in(Path(results, "editions"), [edition["folder"] for edition in editions])
    corrected = list(corrections(kept))
    write_text(text, corrections_text(corrected, labels, tolerance))
    shown = context(CHANGES.read(changes), editions, labels, tolerance, len(corrected))
    write_text(page, rendered(CHANGES_PAGE, presentation, shown))
