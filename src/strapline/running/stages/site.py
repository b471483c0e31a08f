"""Site: the archive's tables and pictures -> the report's pages about it and about each device."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.files import write_text
from strapline.ground.report_files import SESSIONS_IN_ORDER
from strapline.method.claims.evidence import Policy
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.shown import on_page
from strapline.telling.kept import kept_in
from strapline.telling.report.pages import written_by
from strapline.telling.report.sessions import in_order
from strapline.telling.report.site import rendered
from strapline.telling.wearers import as_called

if TYPE_CHECKING:
    from strapline.ground import settings


def run(
    *,
    charts: str,
    device_charts: str,
    pages: Sequence[str],
    device_pages: str,
    tolerance: settings.Tolerance,
    presentation: settings.Presentation,
    criteria: settings.Criteria,
    equivalence: settings.Equivalence,
    claims: settings.Claims,
    over_all: settings.OverAll,
    **tables: str,
) -> None:
    """`pages`: those about the archive, and the sessions in order, each under its own name;
    `tables`: the archive's."""
    read = ArchiveTables.read(tables, kept_in(ArchiveTables))
    archive = as_called(read, presentation)
    policy = Policy(claims, criteria, equivalence, tolerance, over_all)
    places = {Path(page).name: page for page in pages}
    write_text(places[SESSIONS_IN_ORDER], in_order(archive))
    Path(device_pages).mkdir(parents=True, exist_ok=True)
    for page in written_by("site"):
        if page.of_each:
            for device in archive.compared:
                own = on_page(DEVICE_CHARTS, Path(device_charts, device))
                shown = page.context(DeviceTables(device, archive), policy, own)
                place = Path(device_pages, Path(page.file.format(device)).name)
                write_text(place, rendered(page, presentation, shown))
        else:
            shown = page.context(archive, policy, on_page(ARCHIVE_CHARTS, Path(charts)))
            write_text(places[page.file], rendered(page, presentation, shown))
