"""Changes page: what moved since the edition before -> its page of the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.files import write_text
from strapline.ground.tables.archive import DEVICES, labels_of
from strapline.ground.tables.editions import CHANGES
from strapline.ground.tables.table import about
from strapline.telling.report.changes import CHANGES as CHANGES_PAGE
from strapline.telling.report.changes import context
from strapline.telling.report.site import rendered

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation, Tolerance


def run(
    *,
    changes: str,
    devices: str,
    page: str,
    tolerance: Tolerance,
    presentation: Presentation,
) -> None:
    labels = labels_of(DEVICES.read(devices))
    shown = context(CHANGES.read(changes), about(changes)["editions"], labels, tolerance)
    write_text(page, rendered(CHANGES_PAGE, presentation, shown))
