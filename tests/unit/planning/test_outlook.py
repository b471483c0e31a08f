import math

import pandas as pd
import pytest

import intakes
from intakes import recording
from strapline.ground.settings import Claims, Criteria, Equivalence, Plan
from strapline.ground.tables.archive import FINDINGS, SESSIONS
from strapline.ground.tables.sessions import METRICS
from strapline.method.agreement.findings import findings
from strapline.method.planning.outlook import outlook
from strapline.method.planning.precision import bias_half_width, sessions_for
from strapline.method.planning.schedule import Outing
from strapline.method.planning.spread import ASSUMED, ASSUMPTION, ground
from strapline.method.planning.wants import recorded
from strapline.method.planning.wording import NO_DEVICE, next_sentence, remarks, state
from unit.agreement.archives import archive

REGISTER = ["watch", "band"]
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
    found = findings(metrics, Criteria(), Equivalence())
    return outlook(intakes, held(sorted(set(names))), metrics, found, register, plan, Claims())


def nothing(plan=PRECISE, register=REGISTER):
    empty = SESSIONS.empty(), METRICS.empty(), FINDINGS.empty()
    return outlook([], *empty, register, plan, Claims())


def test_before_the_first_session_all_is_assumed_and_said():
    plan = Plan(activities=("run",), wearers=("ada",))
    first = nothing(plan)
    enough = sessions_for(bias_half_width, ASSUMED, 2, 0.9)
    assert [cell.missing for cell in first.cells] == [enough, enough]
    assert all(cell.ground == ASSUMPTION and not cell.confounded for cell in first.cells)
    assert math.isnan(first.cells[0].half_width) and math.isnan(first.cells[0].with_one_more)
    assert next_sentence(first, {"watch": "Watch <one>"}) == (
        "Next: Run, Watch <one> left, band right, worn by ada."
    )
    assert any("own assumption" in text for text in remarks(first, plan, Claims(), {}))


def test_without_devices_there_is_nothing_to_plan():
    empty = nothing(register=[])
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
    assert watch.confounded and state(watch) == "3 more, confounded"
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
    assert watch.with_one_more == pytest.approx(2.447 * math.sqrt(spread / 7), rel=0.01)


def test_all_filled():
    sides = "left_wrist", "right_wrist"
    intakes = [
        intake(f"s-{n:03}", {"watch": sides[n % 2], "band": sides[1 - n % 2]}) for n in range(8)
    ]
    metrics = archive(
        *(figures(n % 3, session=f"s-{n:03}", device=d) for n in range(8) for d in REGISTER)
    )
    found = findings(metrics, Criteria(), Equivalence())
    names = [one.session for one in intakes]
    done = outlook(intakes, held(names), metrics, found, REGISTER, PRECISE, Claims())
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
    own = ground(table, "watch", "run")
    assert own.spread.of_biases == pytest.approx(10) and own.words == "its own 5 sessions"
    # Pooled within devices, by degrees of freedom: (4 × 10 + 1 × 8) / 5.
    here = ground(table, "band", "run")
    assert here.spread.of_biases == pytest.approx(9.6) and "at the activity" in here.words
    assert ground(table, "watch", "row").words == "all 8 recordings"
    assert ground(table.iloc[:3], "watch", "run").words == ASSUMPTION


def test_biases_that_happen_to_be_alike_are_not_taken_for_exact():
    rows = {"device": "watch", "activity": "run", "sd_of_differences": 6.0, "effective_n": 36.0}
    table = pd.DataFrame([rows | {"bias": 1.0}] * 6)
    assert ground(table, "watch", "run").spread.of_biases == pytest.approx(1.0)
