"""Checklist: the archive's tables -> what a report of the test states, and what it lacks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.files import write_text
from strapline.ground.records.described import read_intakes
from strapline.ground.tables.archive import FINDINGS, SESSIONS
from strapline.ground.tables.sessions import METRICS
from strapline.telling.report.checklist import CHECKLIST, checklist_text, context, points
from strapline.telling.report.checklist_answers import COLUMNS, FIGURES, Archive
from strapline.telling.report.site import rendered

if TYPE_CHECKING:
    from strapline.ground.settings import Plan, Presentation


def run(
    *,
    described: list[str],
    part_metrics: list[str],
    findings_table: str,
    sessions: str,
    page: str,
    text: str,
    plan: Plan,
    presentation: Presentation,
) -> None:
    archive = Archive(
        read_intakes(described),
        SESSIONS.read(sessions),
        METRICS.read(part_metrics, *COLUMNS, metric=FIGURES),
        FINDINGS.read(findings_table),
        plan,
    )
    found = points(archive)
    write_text(page, rendered(CHECKLIST, presentation, context(found)))
    write_text(text, checklist_text(found))
