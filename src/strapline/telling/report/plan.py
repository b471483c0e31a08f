"""The page of the plan, and a sheet of the sessions to come to be printed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from strapline.method.planning import protocol, wording
from strapline.method.planning.outlook import Outlook
from strapline.telling.report.page import Context, Page

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Plan

# As many sessions as fit a printed page, and those of them that are not folded.
ON_SHEET = 24
SOON = 6


def context(ahead: Outlook, labels: Mapping[str, str], plan: Plan, claims: Claims) -> Context:
    """What is filled, what is missing, and what to record next."""
    return {
        "next": wording.next_sentence(ahead, labels),
        "remarks": wording.remarks(ahead, plan, claims, labels),
        "cells": [
            {
                "cell": cell,
                "label": wording.name_of(cell.device, labels),
                "state": wording.state(cell),
            }
            for cell in ahead.cells
        ],
        "known": wording.KNOWN[plan.know],
        "outings": _outings(ahead, labels)[:ON_SHEET],
        "soon": SOON,
        "planned": wording.planned(ahead),
        "more": len(ahead.outings) > ON_SHEET,
    }


def sheet(ahead: Outlook, labels: Mapping[str, str], claims: Claims) -> Context:
    """The sessions to come and what to do in each, on paper."""
    return {
        "outings": _outings(ahead, labels)[:ON_SHEET],
        "protocol": protocol.protocol(claims),
        "source": protocol.STATEMENT_IN_FULL,
        "careful": protocol.CAUTION,
    }


def _outings(ahead: Outlook, labels: Mapping[str, str]) -> list[dict[str, Any]]:
    return [
        {
            "activity": outing.activity,
            "left": wording.name_of(outing.left, labels),
            "right": wording.name_of(outing.right, labels),
            "wearer": outing.wearer,
        }
        for outing in ahead.outings
    ]


PLAN = Page("plan.html", "plan", "plan.html", context, word="Plan")
SHEET = Page("sheet.html", "plan", "sheet.html", sheet, within=PLAN.file)
