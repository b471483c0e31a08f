"""Plan: the archive's tables -> what to record next, as a page of the report and a sheet."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from strapline.ground.files import write_text
from strapline.ground.records.described import read_intakes
from strapline.ground.tables.archive import COMPARISONS, FINDINGS, SESSIONS
from strapline.ground.tables.sessions import WHOLE_SESSIONS
from strapline.ground.vocabulary import Scope
from strapline.method.planning.outlook import Recorded, outlook
from strapline.telling.report import plan as pages
from strapline.telling.report.site import rendered
from strapline.telling.wearers import called

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Plan, Presentation


def run(
    *,
    described: list[str],
    whole_sessions: str,
    findings_table: str,
    comparisons_table: str,
    sessions: str,
    page: str,
    sheet: str,
    bench: str,
    plan: Plan,
    claims: Claims,
    presentation: Presentation,
) -> None:
    """`bench`: JSON list of the register's tested devices, in its order: name, label and kind."""
    devices = json.loads(bench)
    labels = {name: label for name, label, _ in devices}
    so_far = Recorded(
        read_intakes(described),
        SESSIONS.read(sessions),
        WHOLE_SESSIONS.read(whole_sessions, scope=[Scope.WHOLE]),
        FINDINGS.read(findings_table),
        COMPARISONS.read(comparisons_table),
    )
    ahead = outlook(so_far, {name: kind for name, _, kind in devices}, plan, claims)
    ahead = ahead.called(called(so_far.sessions, presentation))
    write_text(page, rendered(pages.PLAN, presentation, pages.context(ahead, labels)))
    on_paper = pages.sheet(ahead, labels)
    write_text(sheet, rendered(pages.SHEET, presentation, on_paper))
