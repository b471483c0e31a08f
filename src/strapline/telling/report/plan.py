"""The page of the plan, and a sheet of the sessions to come to be printed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from strapline.ground.report_files import PLAN_PAGE, SHEET_PAGE
from strapline.method.planning import protocol, wording
from strapline.method.planning.outlook import Outlook
from strapline.telling.report.page import Context, Page

# So many sessions fit a printed page beside what to do in each.
ON_SHEET = 8


def context(ahead: Outlook, labels: Mapping[str, str]) -> Context:
    """What is in sight, what each session to come buys, and the whole plan."""
    return {
        "next": wording.next_sentence(ahead, labels),
        "soon": wording.soon(ahead, labels),
        "apart": wording.apart(ahead, labels),
        "steps": [wording.step(step, ahead, labels) for step in ahead.steps],
        "out_of_reach": wording.out_of_reach(ahead, labels),
        "remarks": list(wording.remarks(ahead, labels)),
        "cells": [
            {
                "cell": cell,
                "label": wording.name_of(cell.device, labels),
                "one_more": cell.half_width_with(1),
                "state": wording.state(cell),
            }
            for cell in ahead.cells
        ],
        "known": wording.KNOWN[ahead.plan.know],
        "outings": _outings(ahead, labels),
        "elsewhere": bool(ahead.wanted.elsewhere),
    }


def sheet(ahead: Outlook, labels: Mapping[str, str]) -> Context:
    """The sessions to come and what to do in each, on a page of paper."""
    return {
        "outings": _outings(ahead, labels)[:ON_SHEET],
        "elsewhere": bool(ahead.wanted.elsewhere),
        "protocol": protocol.protocol(ahead.claims),
        "source": protocol.STATEMENT_IN_FULL,
        "careful": protocol.CAUTION,
    }


def _outings(ahead: Outlook, labels: Mapping[str, str]) -> list[dict[str, Any]]:
    return [
        {
            "activity": outing.activity,
            "left": wording.name_of(outing.left, labels),
            "right": wording.name_of(outing.right, labels),
            "elsewhere": wording.elsewhere(outing, labels),
            "wearer": outing.wearer,
        }
        for outing in ahead.outings
    ]


PLAN = Page(PLAN_PAGE, "plan", "plan.html", context, word="Plan")
SHEET = Page(SHEET_PAGE, "plan", "sheet.html", sheet, within=PLAN.file)
