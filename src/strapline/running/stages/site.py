"""Site: the archive's tables and pictures -> the report's pages about it and about each device."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.files import write_text
from strapline.ground.tables.archive import (
    COMPARISONS,
    CONDITIONS,
    DEVICES,
    FAULTS,
    FINDINGS,
    FIRMWARE,
    NOTICES,
    SESSIONS,
    STANDINGS,
)
from strapline.ground.tables.sessions import WHOLE_SESSIONS
from strapline.ground.vocabulary import Scope
from strapline.method.claims.evidence import Evidence, Policy
from strapline.telling.charts.render import pictures
from strapline.telling.report.pages import (
    archive_page,
    device_page,
    head_to_head_page,
    script,
    sessions_page,
    stylesheet,
)
from strapline.telling.report.records import Records

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Criteria, Equivalence, Presentation, Tolerance


def run(
    *,
    whole_sessions: str,
    standings_table: str,
    findings_table: str,
    comparisons_table: str,
    firmware: str,
    faults_table: str,
    conditions_table: str,
    sessions: str,
    devices: str,
    notices: str,
    charts: str,
    device_charts: str,
    index: str,
    all_sessions: str,
    head_to_head: str,
    style: str,
    behaviour: str,
    device_pages: str,
    tolerance: Tolerance,
    presentation: Presentation,
    criteria: Criteria,
    equivalence: Equivalence,
    claims: Claims,
) -> None:
    known = DEVICES.read(devices)
    records = Records(
        SESSIONS.read(sessions),
        WHOLE_SESSIONS.read(whole_sessions, scope=[Scope.WHOLE]),
        STANDINGS.read(standings_table),
        NOTICES.read(notices),
        FAULTS.read(faults_table),
        CONDITIONS.read(conditions_table),
        Evidence(
            FINDINGS.read(findings_table),
            COMPARISONS.read(comparisons_table),
            FIRMWARE.read(firmware),
            Policy(claims, criteria, equivalence, tolerance),
        ),
        dict(zip(known["device"], known["label"], strict=True)),
    )
    write_text(index, archive_page(records, pictures(Path(charts)), presentation))
    write_text(all_sessions, sessions_page(records, presentation))
    write_text(head_to_head, head_to_head_page(records, presentation))
    Path(device_pages).mkdir(parents=True, exist_ok=True)
    for device in records.devices:
        own = pictures(Path(device_charts, device))
        html = device_page(device, records, own, presentation)
        write_text(Path(device_pages, f"{device}.html"), html)
    write_text(style, stylesheet())
    write_text(behaviour, script())
