"""Publish site: the tables and pictures of all sessions -> the report's pages for an audience."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strapline.ground.files import write_bytes, write_text
from strapline.ground.report_files import SECONDS, SESSIONS_IN_ORDER
from strapline.method.claims.evidence import Policy
from strapline.running.stages.session_page import NEEDED
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.charts.shown import on_page
from strapline.telling.kept import kept_in
from strapline.telling.publish.site import Addresses
from strapline.telling.report.explorer import as_script
from strapline.telling.report.glossary import GLOSSARY
from strapline.telling.report.method_page import METHOD
from strapline.telling.report.page import Context, Page
from strapline.telling.report.pages import PAGES, written_by
from strapline.telling.report.session_page import SESSION
from strapline.telling.report.sessions import in_order
from strapline.telling.report.site import rendered
from strapline.telling.session_tables import SessionTables
from strapline.telling.wearers import as_called, called, session_as_called

if TYPE_CHECKING:
    from strapline.ground import settings


def run(
    *,
    site: str,
    looks: Sequence[str],
    charts: Sequence[str],
    archive_charts: str,
    all_stated: Sequence[str],
    all_courses: Sequence[str],
    device_charts: str,
    in_force: str,
    meanings: str,
    fingerprints: str,
    renamed: str,
    tolerance: settings.Tolerance,
    presentation: settings.Presentation,
    criteria: settings.Criteria,
    equivalence: settings.Equivalence,
    claims: settings.Claims,
    over_all: settings.OverAll,
    **tables: Any,
) -> None:
    """Writes all of `site`. `looks`: what all pages share; `charts`: each session's pictures;
    `all_stated`, `all_courses`: the archive's STATED and COURSES; `tables`: its others, and of each
    kind of a session's a list, in one order; `in_force`, `meanings`, `fingerprints`: as for the
    page on the method; `renamed`: JSON of the addresses of sessions that are not called by their
    names."""

    def write(page: Page, shown: Context, name: str = "") -> None:
        write_text(Path(site, page.file.format(name)), rendered(page, presentation, shown, True))

    for page in PAGES:
        Path(site, page.file).parent.mkdir(parents=True, exist_ok=True)
    for file in looks:
        write_bytes(Path(site, Path(file).name), Path(file).read_bytes())
    told = map(json.loads, (in_force, meanings, fingerprints))
    write(METHOD, METHOD.context(*told, tolerance, criteria))
    write(GLOSSARY, GLOSSARY.context())
    gathered = {"stated": all_stated, "courses": all_courses}
    made = ArchiveTables.read(tables | gathered, kept_in(ArchiveTables))
    wearers, named = called(made.sessions, presentation), Addresses(json.loads(renamed))
    archive = named.within(as_called(made, presentation))
    write_text(Path(site, SESSIONS_IN_ORDER), in_order(archive))
    policy = Policy(claims, criteria, equivalence, tolerance, over_all)
    for page in [page for page in written_by("site") if page.public]:
        for device in made.compared if page.of_each else [""]:
            pictures = Path(device_charts, device) if page.of_each else Path(archive_charts)
            kinds = DEVICE_CHARTS if page.of_each else ARCHIVE_CHARTS
            own = DeviceTables(named.of(device), archive) if page.of_each else archive
            write(page, page.context(own, policy, on_page(kinds, pictures)), named.of(device))
    for place, folder in enumerate(charts):
        files = {name: tables[name][place] for name in ("intake", *NEEDED)}
        session = SessionTables.read(files, tolerance, NEEDED)
        shown = named.within(session_as_called(session, presentation, wearers))
        context = SESSION.context(shown, on_page(SESSION_CHARTS, Path(folder)))
        name = shown.intake.session
        write(SESSION, context, name)
        write_text(Path(site, SECONDS.format(name)), as_script(context["looked_into"]))
