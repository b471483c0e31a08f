import math
from dataclasses import replace

import pytest

from strapline.ground.settings import Claims, Plan, Presentation
from strapline.method.planning.cells import Cell
from strapline.method.planning.outlook import Outlook
from strapline.method.planning.precision import Spread
from strapline.method.planning.schedule import Outing
from strapline.method.planning.steps import Buying
from strapline.method.planning.wants import Wants
from strapline.telling.report.plan import ON_SHEET, PLAN, SHEET
from strapline.telling.report.site import rendered

LABELS = {"watch": "Watch <one>", "band": "Band two"}


def plan_page(ahead, labels):
    return rendered(PLAN, Presentation(), PLAN.context(ahead, labels))


def sheet_page(ahead, labels):
    return rendered(SHEET, Presentation(), SHEET.context(ahead, labels))


def cell(device, **given):
    facts = {"sessions": 4, "wearers": 2, "left": 2, "right": 2, "half_width": 3.25}
    facts |= {"know": "bias", "missing": 5, "in_a_year": 50, "ground": "its own 5 sessions"}
    facts |= {"spread": Spread(of_biases=9, within=25, independent=40)}
    return Cell(device=device, activity="row-hard", **(facts | given))


@pytest.fixture
def ahead():
    cells = [
        cell("watch"),
        cell("band", sessions=1, right=0, missing=7, half_width=math.nan),
    ]
    outings = [Outing("row-hard", "ada", "watch", "band")] * (ON_SHEET + 1)
    return outlook(cells, outings)


def outlook(cells, outings):
    devices = ("watch", "band") if cells else ()
    wanted = Wants(devices, ("row-hard",), ("ada",), elsewhere={}, week=(), soon=4)
    buying = Buying({(each.device, each.activity): each for each in cells}, Plan(), Claims())
    steps = list(buying.in_order(outings[:4], is_given=False))
    return Outlook(wanted, cells, steps, outings, [], Plan(), Claims())


def test_the_page_says_what_is_next_and_what_each_device_lacks(ahead):
    html = plan_page(ahead, LABELS)
    assert "Next: Row hard, Watch &lt;one&gt; left, Band two right, worn by ada." in html
    assert "<one>" not in html
    for shown in (
        ">5 more<",
        ">7 more, also on the right wrist<",
        ">3.2<",
        ">2.5<",
        ">–<",
        "With 4 sessions in the next 4 weeks",
        "Watch &lt;one&gt; to within ±2.5 bpm instead of ±3.2",
        ", as wanted",
    ):
        assert shown in html
    assert html.count("<bdi>ada</bdi>") == ON_SHEET + 1


def test_what_a_spread_is_taken_from_is_said_once_where_it_is_the_same(ahead):
    def told(ahead):
        return plan_page(ahead, LABELS).count("Spread taken")

    assert told(ahead) == 1
    ahead.cells[1] = replace(ahead.cells[1], ground="the assumption")
    assert told(ahead) == 2


def test_the_whole_plan_is_folded(ahead):
    soon, whole = plan_page(ahead, LABELS).split("<details>")
    assert "<table" not in soon and whole.count("<table") == 2
    assert "<details>" not in plan_page(outlook([], []), LABELS)


def test_the_sheet_has_sessions_protocol_sources_and_cautions(ahead):
    html = sheet_page(ahead, LABELS)
    assert html.count("☐") == ON_SHEET
    for shown in ("Warm the strap", "10.1136/bjsports-2020-103148", "stop when unwell", "lap key"):
        assert shown in html


def test_a_plan_without_devices_is_a_page_all_the_same():
    nothing = outlook([], [])
    html = plan_page(nothing, {})
    assert "name your devices" in html and "<table" not in html
    assert "None." in sheet_page(nothing, {})
