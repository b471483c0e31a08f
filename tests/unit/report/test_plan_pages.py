import math
from dataclasses import replace

import pytest

from strapline.ground.settings import Claims, Plan, Presentation
from strapline.method.planning.cells import Cell
from strapline.method.planning.outlook import Outlook
from strapline.method.planning.schedule import Outing
from strapline.method.planning.wants import Wants
from strapline.telling.report.plan import ON_SHEET, PLAN, SHEET, SOON
from strapline.telling.report.site import rendered

LABELS = {"watch": "Watch <one>", "band": "Band two"}


def plan_page(ahead, labels):
    return rendered(PLAN, Presentation(), PLAN.context(ahead, labels, Plan(), Claims()))


def sheet_page(ahead, labels):
    return rendered(SHEET, Presentation(), SHEET.context(ahead, labels, Claims()))


def cell(device, **given):
    facts = {"sessions": 4, "wearers": 2, "left": 2, "right": 2, "half_width": 3.25}
    facts |= {"with_one_more": 2.75, "needed": 9, "missing": 5, "ground": "its own 5 sessions"}
    return Cell(device=device, activity="row-hard", **(facts | given))


@pytest.fixture
def ahead():
    cells = [
        cell("watch"),
        cell("band", right=0, missing=0, half_width=math.nan, with_one_more=math.nan),
    ]
    outings = [Outing("row-hard", "ada", "watch", "band")] * (ON_SHEET + 1)
    return Outlook(Wants(("watch", "band"), ("row-hard",), ("ada",)), cells, outings)


def test_the_page_says_what_is_next_and_what_each_device_lacks(ahead):
    html = plan_page(ahead, LABELS)
    assert "Next: Row hard, Watch &lt;one&gt; left, Band two right, worn by ada." in html
    assert "<one>" not in html
    for shown in (
        ">5 more<",
        ">filled, confounded<",
        ">3.2<",
        ">2.8<",
        ">–<",
        "25 sessions in all",
    ):
        assert shown in html
    assert html.count("<td>ada") + html.count("<bdi>ada</bdi>") == ON_SHEET


def test_what_a_spread_is_taken_from_is_said_once_where_it_is_the_same(ahead):
    def told(ahead):
        return plan_page(ahead, LABELS).count("Spread taken")

    assert told(ahead) == 1
    ahead.cells[1] = replace(ahead.cells[1], ground="the assumption")
    assert told(ahead) == 2


def test_sessions_further_ahead_are_folded(ahead):
    html = plan_page(ahead, LABELS)
    soon, later = html.split("<details>")
    assert soon.count("<td><bdi>ada</bdi>") == SOON
    assert f"The next {ON_SHEET - SOON}<" in later
    assert f">{SOON + 1}. Row hard<" in later
    few = Outlook(ahead.wanted, ahead.cells, ahead.outings[:SOON])
    assert "<details>" not in plan_page(few, LABELS)


def test_the_sheet_has_sessions_protocol_sources_and_cautions(ahead):
    html = sheet_page(ahead, LABELS)
    assert html.count("☐") == ON_SHEET
    for shown in ("Wet the strap", "10.1136/bjsports-2020-103148", "stop when unwell", "lap key"):
        assert shown in html


def test_a_plan_without_devices_is_a_page_all_the_same():
    nothing = Outlook(Wants((), ("run",), ()), [], [])
    html = plan_page(nothing, {})
    assert "name your devices" in html and "<table" not in html
    assert "None." in sheet_page(nothing, {})
