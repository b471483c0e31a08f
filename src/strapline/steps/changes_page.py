"""Changes page: what moved since the edition before -> its page of the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.files import write_text
from strapline.report.changes import context
from strapline.report.site import page as rendered
from strapline.tables.archive import DEVICES
from strapline.tables.editions import CHANGES
from strapline.tables.table import about

if TYPE_CHECKING:
    from strapline.settings import Presentation, Tolerance


def run(
    *,
    changes: str,
    devices: str,
    page: str,
    tolerance: Tolerance,
    presentation: Presentation,
) -> None:
    known = DEVICES.read(devices)
    labels = dict(zip(known["device"], known["label"], strict=True))
    shown = context(CHANGES.read(changes), about(changes)["editions"], labels, tolerance)
    html = rendered(
        "changes.html", here="changes.html", root="", presentation=presentation, **shown
    )
    write_text(page, html)
