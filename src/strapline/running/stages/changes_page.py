"""Changes page: what moved since the edition before -> its page of the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.files import write_text
from strapline.ground.tables.archive import DEVICES
from strapline.ground.tables.editions import CHANGES
from strapline.ground.tables.table import about
from strapline.telling.report.changes import context
from strapline.telling.report.site import page as rendered

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
    known = DEVICES.read(devices)
    labels = dict(zip(known["device"], known["label"], strict=True))
    shown = context(CHANGES.read(changes), about(changes)["editions"], labels, tolerance)
    html = rendered(
        "changes.html", here="changes.html", root="", presentation=presentation, **shown
    )
    write_text(page, html)
