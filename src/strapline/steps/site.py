"""Site: the archive's tables and picture -> the report's first page and a page a device."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from strapline.charts.render import picture
from strapline.files import write_text
from strapline.report.evidence import Evidence, Policy
from strapline.report.faults import device_faults
from strapline.report.pages import archive_page, device_page, script, stylesheet
from strapline.tables.archive import (
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
from strapline.tables.sessions import METRICS

if TYPE_CHECKING:
    from strapline.settings import Claims, Criteria, Equivalence, Presentation, Tolerance


def run(
    *,
    metrics: str,
    standings_table: str,
    findings_table: str,
    comparisons_table: str,
    firmware: str,
    faults_table: str,
    conditions_table: str,
    sessions: str,
    devices: str,
    notices: str,
    pictures: list[str],
    index: str,
    style: str,
    behaviour: str,
    device_pages: str,
    tolerance: Tolerance,
    presentation: Presentation,
    criteria: Criteria,
    equivalence: Equivalence,
    claims: Claims,
) -> None:
    evidence = Evidence(
        FINDINGS.read(findings_table),
        COMPARISONS.read(comparisons_table),
        FIRMWARE.read(firmware),
        Policy(claims, criteria, equivalence, tolerance),
    )
    figures, table = METRICS.read(metrics), STANDINGS.read(standings_table)
    held, known = SESSIONS.read(sessions), DEVICES.read(devices)
    labels = dict(zip(known["device"], known["label"], strict=True))
    drawings = [Path(path) for path in pictures]
    html = archive_page(
        held,
        figures,
        table,
        NOTICES.read(notices),
        labels,
        [picture(path.stem, path.read_text("utf-8")) for path in drawings],
        presentation,
        tolerance,
        evidence,
    )
    Path(device_pages).mkdir(parents=True, exist_ok=True)
    went_wrong, found = FAULTS.read(faults_table), CONDITIONS.read(conditions_table)
    for device in sorted(set(table["device"])):
        label = labels[device]
        faults = device_faults(device, label, went_wrong, found, claims)
        page = device_page(
            device, label, held, figures, table, [], presentation, tolerance, evidence, faults
        )
        write_text(Path(device_pages, f"{device}.html"), page)
    write_text(style, stylesheet())
    write_text(behaviour, script())
    write_text(index, html)
