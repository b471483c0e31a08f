import math
import re

import pandas as pd
import pytest
from scipy.stats import binomtest

import intakes
from intakes import recording
from strapline.ground.records.stated import Stated, StatedIntake
from strapline.ground.settings import Claims, Criteria, Equivalence, OverAll, Plan
from strapline.ground.tables.archive import COMPARISONS, FINDINGS, SESSIONS
from strapline.ground.tables.sessions import METRICS
from strapline.method.agreement.findings import findings
from strapline.method.planning.outlook import Recorded, outlook
from strapline.method.planning.precision import bias_half_width, sessions_for
from strapline.method.planning.schedule import Outing
from strapline.method.planning.spread import ASSUMED, ASSUMPTION, Grounds
from strapline.method.planning.wants import recorded, wants
from strapline.method.planning.wording import (
    NO_DEVICE,
    apart,
    next_sentence,
    out_of_reach,
    remarks,
    soon,
    state,
    step,
)
from unit.agreement.archives import archive

REGISTER = {"watch": "wrist", "band": "wrist"}
PRECISE = Plan(half_width_bpm=100)


def figures(bias, **given):
    return {"bias": bias, "sd_of_differences": 3.0, "effective_n": 50.0, **given}


def intake(session, placements, activity="run"):
    worn = [recording(device, placement=placement) for device, placement in placements.items()]
    return intakes.session(*worn, name=session, activity=activity)


def held(names, activity="run"):
    common = {"wearer": "ada", "activity": activity, "devices": 2}
    common |= {"clocks_aligned": 2, "clocks_left": 0}
    return SESSIONS.from_rows([{"session": name, "title": name, **common} for name in names])


def ahead(biases, placements, plan=PRECISE, register=REGISTER):
    """The outlook over sessions in which all devices have the same biases."""
    rows = [(b, device) for b in biases for device in placements]
    names = [f"s-{place // len(placements):03}" for place in range(len(rows))]
    metrics = archive(
        *(figures(b, session=n, device=d) for (b, d), n in zip(rows, names, strict=True))
    )
    intakes = [intake(name, placements) for name in sorted(set(names))]
    found = findings(metrics, Criteria(), Equivalence(), OverAll())
    return looked_ahead(intakes, held(sorted(set(names))), metrics, found, register, plan)


def looked_ahead(intakes, sessions, metrics, found, register, plan, compared=None):
    compared = COMPARISONS.empty() if compared is None else compared
    so_far = Recorded(intakes, sessions, metrics, found, compared)
    return outlook(so_far, register, plan, Claims())


def nothing(plan=PRECISE, register=REGISTER):
    empty = SESSIONS.empty(), METRICS.empty(), FINDINGS.empty()
    return looked_ahead([], *empty, register, plan)


def test_before_the_first_session_all_is_assumed_and_said():
    plan = Plan(activities=("run",), wearers=("ada",))
    first = nothing(plan)
    enough = sessions_for(bias_half_width, ASSUMED, 2, 0.9)
    assert [cell.missing for cell in first.cells] == [enough, enough]
    assert all(cell.ground == ASSUMPTION and not cell.confounded for cell in first.cells)
    assert math.isnan(first.cells[0].half_width) and math.isnan(first.cells[0].half_width_with(1))
    assert next_sentence(first, {"watch": "Watch <one>"}) == (
        "Next: Run, Watch <one> left, band right, worn by ada."
    )
    assert any("the plan assumes it" in text for text in remarks(first, {}))


def test_without_devices_there_is_nothing_to_plan():
    empty = nothing(register={})
    assert empty.cells == [] and empty.outings == []
    assert next_sentence(empty, {}) == NO_DEVICE


def test_the_activities_are_those_recorded_unless_stated():
    worn = {"watch": "left_wrist", "band": "right_wrist"}
    assert ahead([1, 2], worn).wanted.activities == ("run",)
    assert ahead([1, 2], worn, Plan(activities=("row",))).wanted.activities == ("row",)


def test_a_device_on_one_wrist_only_is_confounded_and_sent_to_the_other():
    found = ahead(range(10), {"watch": "left_wrist", "band": "right_wrist"})
    watch, _ = found.cells
    assert (watch.sessions, watch.left, watch.right) == (10, 10, 0)
    assert watch.confounded and state(watch) == "3 more, also on the right wrist"
    assert watch.missing == Claims().tends.fewest_sessions
    assert [(o.left, o.right) for o in found.outings] == [("band", "watch")] * 3


def test_where_nobody_says_which_wrist_it_counts_as_neither():
    watch, _ = ahead(range(10), {"watch": "other", "band": "right_wrist"}).cells
    assert (watch.sessions, watch.left, watch.right) == (10, 0, 0)
    assert watch.confounded and watch.missing == 2 * Claims().tends.fewest_sessions


def test_a_device_worn_twice_at_once_counts_for_no_wrist():
    twice = intake("s-1", {"watch": "left_wrist", "band": "right_wrist"})
    band, watch = twice.recordings[1], twice.recordings[0]
    twice = twice.model_copy(
        update={"recordings": (watch, band.model_copy(update={"device": "watch"}))}
    )
    assert recorded([twice], {("s-1", "watch")}) == [Outing("run", "ada", None, None)]


def test_a_claim_asks_for_its_sessions_however_precise():
    watch, _ = ahead([1.0, 1.1], {"watch": "left_wrist", "band": "right_wrist"}).cells
    assert watch.half_width < 100
    assert watch.needed == Claims().does.fewest_sessions


def test_one_more_session_narrows_the_interval_there_is():
    watch, _ = ahead([1, 5, 3, 8, 2, 9], {"watch": "left_wrist", "band": "right_wrist"}).cells
    spread = pd.Series([1, 5, 3, 8, 2, 9]).var()
    assert watch.ground == "its own 6 sessions"
    assert watch.half_width == pytest.approx(2.571 * math.sqrt(spread / 6), rel=0.01)
    assert watch.half_width_with(1) == pytest.approx(2.447 * math.sqrt(spread / 7), rel=0.01)


def test_all_filled():
    sides = "left_wrist", "right_wrist"
    intakes = [
        intake(f"s-{n:03}", {"watch": sides[n % 2], "band": sides[1 - n % 2]}) for n in range(8)
    ]
    metrics = archive(
        *(figures(n % 3, session=f"s-{n:03}", device=d) for n in range(8) for d in REGISTER)
    )
    found = findings(metrics, Criteria(), Equivalence(), OverAll())
    names = [one.session for one in intakes]
    done = looked_ahead(intakes, held(names), metrics, found, REGISTER, PRECISE)
    assert [state(cell) for cell in done.cells] == ["filled", "filled"]
    assert done.outings == []
    assert next_sentence(done, {}).startswith("Nothing is missing")


def test_the_spread_is_taken_from_where_there_are_enough_sessions():
    rows = [
        {"device": d, "activity": a, "bias": b, "sd_of_differences": 2.0, "effective_n": 40.0}
        for d, a, biases in (
            ("watch", "run", [0, 2, 4, 6, 8]),
            ("band", "run", [10, 14]),
            ("watch", "row", [1]),
        )
        for b in biases
    ]
    table = pd.DataFrame(rows)
    grounds = Grounds(table)
    spread, words = grounds.of("watch", "run")
    assert spread.of_biases == pytest.approx(10) and words == "its own 5 sessions"
    # Pooled within devices, by degrees of freedom: (4 × 10 + 1 × 8) / 5.
    spread, words = grounds.of("band", "run")
    assert spread.of_biases == pytest.approx(9.6) and words == "7 recordings at the activity"
    assert grounds.of("watch", "row")[1] == "all 8 recordings"
    assert Grounds(table.iloc[:3]).of("watch", "run")[1] == ASSUMPTION


def test_biases_that_happen_to_be_alike_are_not_taken_for_exact():
    rows = {"device": "watch", "activity": "run", "sd_of_differences": 6.0, "effective_n": 36.0}
    table = pd.DataFrame([rows | {"bias": 1.0}] * 6)
    assert Grounds(table).of("watch", "run")[0].of_biases == pytest.approx(1.0)


def test_a_ring_is_worn_where_it_was_and_needs_no_wrist():
    worn = {"watch": "left_wrist", "ring": "right_finger"}
    found = ahead(range(10), worn, register={"watch": "wrist", "ring": "finger"})
    ring = found.cells[1]
    assert (ring.left, ring.right, ring.confounded, ring.missing) == (None, None, False, 0)
    outing = found.outings[0]
    assert (outing.left, outing.right) == (None, "watch")
    assert outing.elsewhere == (("ring", "right_finger"),)


def test_a_band_for_the_arm_takes_no_wrist_because_a_card_once_said_so():
    """Else a plan has two devices on that wrist."""
    worn = {"watch": "right_wrist", "band": "left_wrist"}
    found = ahead(range(10), worn, register={"watch": "wrist", "band": "arm"})
    assert {dict(o.elsewhere)["band"] for o in found.outings} == {"left_upper_arm"}


def test_the_next_weeks_are_like_the_last_ones_or_as_the_settings_say():
    worn = {"watch": "left_wrist", "band": "right_wrist"}
    assert ahead(range(10), worn).wanted.soon == 4
    week = Plan(week=("run", "row", "run"))
    assert len(ahead(range(10), worn, week).steps) == 12
    begun = pd.to_datetime([f"2026-03-{day:02}T06:00Z" for day in range(1, 11)])
    rows = held([f"s-{n}" for n in range(10)]).assign(started_at=begun)
    empty = METRICS.empty(), FINDINGS.empty()
    assert looked_ahead([], rows, *empty, REGISTER, Plan()).wanted.soon == 10


def test_each_session_gives_what_the_interval_would_shrink_to_beside_those_before_it():
    found = ahead([1, 5, 3, 8, 2, 9], {"watch": "left_wrist", "band": "right_wrist"}, Plan())
    assert [[p.sessions for p in step.prospects] for step in found.steps] == [
        [7, 7],
        [8, 8],
        [9, 9],
        [10, 10],
    ]
    spread = pd.Series([1, 5, 3, 8, 2, 9]).var()
    # 2.262: Student's t for 9 degrees of freedom, from printed tables.
    last = found.steps[-1].prospects[0]
    assert last.half_width == pytest.approx(2.262 * math.sqrt(spread / 10), rel=0.01)
    assert last.before == found.steps[-2].prospects[0].half_width
    assert soon(found, {}).startswith("With 4 sessions in the next 4 weeks you will know more")
    assert step(found.steps[0], found, {"watch": "Watch"}) == (
        "Run, band left, Watch right, worn by ada: band to within ±3.0 bpm instead of ±3.4; Watch "
        "to within ±3.0 bpm instead of ±3.4."
    )


def test_the_session_that_settles_something_comes_first_and_is_next():
    """Two sessions at running; a third gives enough to say what a device tends to do."""
    worn = {"watch": "left_wrist", "band": "right_wrist"}
    found = ahead([1, 5], worn, Plan(activities=("row", "run")))
    steps = found.steps
    assert [each.outing for each in steps] == found.outings[:4] and len(steps) == 4
    assert next_sentence(found, {}).startswith("Next: Run, ")
    assert [each.outing.activity for each in steps] == ["run", "run", "row", "row"]
    assert "have a first statement on Run (band and watch)." in soon(found, {})
    assert re.search(
        r": a first statement on band \(±\S+ bpm\) and watch \(±\S+ bpm\)\.$",
        step(steps[0], found, {}),
    )
    # What the same sentence says of a later one goes by those before it.
    assert ["have 1 of 3" in step(each, found, {}) for each in steps[2:]] == [True, False]
    assert ["have 2 of 3" in step(each, found, {}) for each in steps[2:]] == [False, True]


def test_a_stated_week_is_kept_to():
    worn = {"watch": "left_wrist", "band": "right_wrist"}
    week = ("row", "run")
    found = ahead([1, 5], worn, Plan(activities=week, week=week))
    assert [each.outing.activity for each in found.steps] == [*week] * 4
    assert next_sentence(found, {}).startswith("Next: Row, ")
    assert "They come as in your week" in soon(found, {})


def test_what_is_known_as_closely_as_wanted_is_not_told_again():
    known = ahead([1, 1.1, 1, 1.2], {"watch": "left_wrist", "band": "right_wrist"}, Plan())
    assert step(known.steps[0], known, {}) == (
        "Run, band left, watch right, worn by ada: one nearer to the 8 sessions that a firm "
        "statement takes."
    )


def test_what_a_year_does_not_give_is_said_once_with_what_it_gives():
    found = ahead([-30, 30, -25, 25, 0, 30], {"watch": "left_wrist", "band": "right_wrist"}, Plan())
    assert all(cell.out_of_reach for cell in found.cells)
    (said,) = out_of_reach(found, {})
    assert said.startswith("Out of reach within a year at this pace: watch (Run) and band (Run);")
    plan = Plan(half_width_bpm=float(said.rsplit(" ", 1)[1].rstrip(".")))
    assert not any(
        cell.out_of_reach
        for cell in ahead(
            [-30, 30, -25, 25, 0, 30], {"watch": "left_wrist", "band": "right_wrist"}, plan
        ).cells
    )


def test_what_the_week_has_no_place_for_is_said():
    found = nothing(Plan(activities=("run", "row"), week=("run",)))
    assert {outing.activity for outing in found.outings} == {"run"}
    assert out_of_reach(found, {})[0].startswith("plan.week in settings.yaml has no Row")


def compared(**given):
    facts = {"device_a": "band", "device_b": "watch", "activity": "run", "alignment": "settled"}
    facts |= {"metric": "mae", "unit": "bpm", "sessions": 5, "wearers": 1, "minutes": 100.0}
    facts |= {"difference": 2.0, "low": -1.0, "high": 5.0, "p": 0.2, "p_family": 0.2}
    facts |= {
        "closer": 0.2,
        "pairs": 1,
        "sessions_needed": 6,
        "a_left": 3,
        "a_right": 2,
        "confounded": False,
    }
    return COMPARISONS.from_rows([facts | given])


def test_devices_are_told_apart_once_the_sign_test_would_show_it():
    """One of five sessions for the other device: three of fifteen have p below 0.05 by SciPy, three
    of fourteen have not."""
    assert binomtest(3, 15).pvalue < 0.05 < binomtest(3, 14).pvalue
    empty = held(["s-1"]), METRICS.empty(), FINDINGS.empty()

    def pairs(**given):
        plan = Plan(activities=("run",))
        return looked_ahead([], *empty, REGISTER, plan, compared(**given))

    (pair,) = pairs().pairs
    assert pair.missing == 15 - 5 and not pair.out_of_reach
    assert apart(pairs(), {}) == ["To tell apart band and watch (Run) takes about 10 more."]
    assert pairs(p_family=0.01).pairs == []
    assert pairs(p_family=0.01, confounded=True).pairs[0].missing == 10
    assert pairs(sessions=2).pairs == []
    assert apart(pairs(closer=0.5), {}) == [
        "Too alike to be told apart within a year: band and watch (Run)."
    ]


def test_what_only_shows_figures_is_planned_only_where_it_is_asked_for():
    """One that exported once is planned, and one that nobody has worn yet."""

    def shown(device):
        told = {"recording": device, "device": device, "label": device, "device_kind": "wrist"}
        told |= {"placement": "left_wrist", "firmware": None, "has_export": False}
        return StatedIntake(figures=Stated(average_bpm=121), **told)

    intakes_ = [
        intakes.session(recording("watch"), stated=(shown("band"),)),
        intakes.session(recording("band-2"), stated=(shown("moss"), shown("watch"))),
    ]
    register = dict.fromkeys(("watch", "band", "moss", "new"), "wrist")
    for asked, expected in (((), ("watch", "new")), (("moss",), ("moss",))):
        found = wants(Plan(devices=asked), register, held(["s-1"]), intakes_)
        assert found.devices == expected


def test_wearers_are_called_alike_in_all_of_a_plan():
    found = ahead([0.0] * 3, {"watch": "left_wrist", "band": "right_wrist"}).called({"ada": "A"})
    worn_by = [outing.wearer for outing in found.outings]
    assert worn_by and found.steps
    assert {*worn_by, *(one.outing.wearer for one in found.steps)} == {"A"}
    assert "worn by A" in step(found.steps[0], found, {})
