"""Whether faults go with conditions: sides, differences, and how sure they are."""

import math

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from strapline.ground.settings import Claims, Grounds
from strapline.ground.tables.archive import PLACEMENTS, SESSIONS
from strapline.ground.vocabulary import PLACEMENT
from strapline.method.episodes.conditions import (
    conditions,
    difference_within,
    permutation_p,
    stated_conditions,
)
from strapline.method.episodes.faults import fault_seconds
from unit.episodes.fault_archives import archive, low

TENDS = Claims().tends
ANYTHING = Grounds(fewest_sessions=1, fewest_wearers=1, fewest_minutes=0)


def compared(sessions, values, least=TENDS, condition="strap"):
    """`values`: one a session, None where nothing is stated."""
    stated = pd.DataFrame(
        [
            {"session": f"s-{n:03}", "device": "watch", "condition": condition, "value": value}
            for n, value in enumerate(values)
            if value is not None
        ],
        columns=["session", "device", "condition", "value"],
    )
    return conditions(fault_seconds(*archive(*sessions)), stated, least)


def test_a_difference_is_that_of_the_sessions():
    """Tight 12, 18 and 24 minutes an hour, loose 3, 6 and 9: 12 more; by scipy's t interval."""
    seconds = [720, 1080, 1440, 180, 360, 540]
    table = compared([low(s) for s in seconds], ["tight"] * 3 + ["loose"] * 3)
    (row,) = table.to_dict("records")
    assert (row["value_a"], row["value_b"]) == ("loose", "tight")
    assert (row["sessions_a"], row["sessions_b"], row["minutes"]) == (3, 3, 180)
    assert row["difference"] == pytest.approx(-12)
    known = stats.ttest_ind([3, 6, 9], [12, 18, 24]).confidence_interval()
    assert (row["low"], row["high"]) == (pytest.approx(known.low), pytest.approx(known.high))


def test_only_sessions_of_the_same_activity_are_compared():
    """Lifting is bad and worn tight, running good and worn loose: no difference within either."""
    lifts = [low(1800, activity="lift")] * 4
    runs = [low(180)] * 4
    table = compared([*lifts, *runs], ["tight", "tight", "tight", "loose"] + ["loose"] * 4)
    (row,) = table.to_dict("records")
    assert (row["sessions_a"], row["sessions_b"]) == (1, 3)
    table = compared([*lifts, *runs], ["tight"] * 4 + ["loose"] * 4)
    assert table[["sessions_a", "sessions_b"]].to_numpy().tolist() == [[0, 0]]
    assert table["p"].isna().all()


@pytest.mark.parametrize(("count", "judged_s"), [(2, 3600), (3, 1199)])
def test_nothing_is_computed_below_the_policy(count, judged_s):
    sessions = [low(200, judged_s)] * count + [low(20)] * 5
    table = compared(sessions, ["a"] * count + ["b"] * 5)
    assert table[["sessions_a", "sessions_b"]].to_numpy().tolist() == [[count, 5]]
    assert table[["difference", "low", "high", "p", "p_family"]].isna().all(axis=None)


def test_numbers_part_at_the_median_of_the_archive():
    table = compared([low(10)] * 5, [4, 8, 12, 20, 30], ANYTHING, "temperature_c")
    (row,) = table.to_dict("records")
    assert (row["value_a"], row["value_b"]) == ("above 12", "up to 12")
    assert (row["sessions_a"], row["sessions_b"]) == (2, 3)


def test_numbers_part_somewhere_if_the_median_is_the_highest():
    (row,) = compared([low(10)] * 4, [5, 9, 9, 9], ANYTHING).to_dict("records")
    assert (row["value_a"], row["sessions_a"]) == ("above 5", 3)


def test_words_are_compared_without_their_case_and_remarks_not_at_all():
    values = ["Snug", "snug ", "loose", "loose", "new band", True]
    table = compared([low(10)] * 6, values, ANYTHING)
    assert table["value_a"].tolist() == ["loose", "snug"]
    assert table["value_b"].tolist() == ["not loose", "not snug"]
    assert table["sessions_a"].tolist() == [2, 2]
    assert len(compared([low(10)] * 3, ["one", "two", "three"], ANYTHING)) == 0


def test_yes_and_no_are_words():
    table = compared([low(10)] * 4, [True, False, True, False], ANYTHING)
    assert table[["value_a", "value_b"]].to_numpy().tolist() == [["no", "yes"]]


def test_one_value_and_unstated_sessions_are_no_comparison():
    assert len(compared([low(10)] * 4, ["snug", "snug", None, None], ANYTHING)) == 0
    (row,) = compared([low(10)] * 5, ["a", "b", "a", "b", None], ANYTHING).to_dict("records")
    assert row["sessions_a"] + row["sessions_b"] == 4


def test_a_condition_of_the_person_is_marked():
    sessions = [low(10, wearer=w) for w in ("ada", "ada", "bo", "bo")]
    (row,) = compared(sessions, ["yes", "yes", "no", "no"], ANYTHING).to_dict("records")
    assert (row["confounded"], row["wearers"]) == (True, 1)
    (row,) = compared(sessions, ["yes", "no", "yes", "no"], ANYTHING).to_dict("records")
    assert (row["confounded"], row["wearers"]) == (False, 2)


def test_every_comparison_made_is_adjusted_for():
    """Two devices, one of which has too few sessions and does not count: 1 of 1 and 2 of 2."""
    sessions = [low(s) for s in (600, 660, 720, 60, 90, 120)]
    values = ["a"] * 3 + ["b"] * 3
    (alone,) = compared(sessions, values).to_dict("records")
    assert alone["p_family"] == alone["p"]
    stated = [
        {"session": f"s-{n:03}", "device": "watch", "condition": name, "value": value}
        for name in ("one", "two")
        for n, value in enumerate(values)
    ]
    both = conditions(fault_seconds(*archive(*sessions)), pd.DataFrame(stated), TENDS)
    assert both["p_family"].tolist() == [pytest.approx(2 * both["p"].min())] * 2


def test_differences_within_strata_are_those_of_least_squares():
    """Against numpy's least squares with a column a stratum."""
    chance = np.random.default_rng(5)
    stratum = np.array(list("aaaaabbbbccc"))
    on_a = np.array([1, 0, 1, 0, 1, 0, 0, 1, 0, 1, 0, 0], dtype=bool)
    values = chance.normal(size=12) + 5 * (stratum == "b") + 2 * on_a
    columns = np.column_stack([on_a, *(stratum == name for name in "abc")]).astype(float)
    solved, (left,), _, _ = np.linalg.lstsq(columns, values, rcond=None)
    error = math.sqrt(left / 8 * np.linalg.inv(columns.T @ columns)[0, 0])
    difference, interval = difference_within(values, on_a, stratum)
    assert difference == pytest.approx(solved[0])
    assert interval.high - difference == pytest.approx(stats.t.ppf(0.975, 8) * error)


def test_p_is_that_of_a_permutation_test():
    """Against scipy's permutation test of all deals, of the size of the difference."""
    a, b = np.array([9.0, 7.5, 12.0, 8.0]), np.array([3.0, 8.5, 2.0, 4.0, 5.0])

    def apart(x, y, axis):
        return np.abs(np.mean(x, axis=axis) - np.mean(y, axis=axis))

    exact = stats.permutation_test((a, b), apart, alternative="greater", vectorized=True).pvalue
    values = np.concatenate([a, b])
    on_a = np.arange(9) < 4
    p = permutation_p(values, on_a, np.full(9, "run"), "x")
    assert p == pytest.approx(exact, abs=4 * math.sqrt(exact / 9999))
    assert p == permutation_p(values, on_a, np.full(9, "run"), "x")


def test_sides_are_dealt_within_strata_alone():
    """Strata far apart: dealt over all of them, such a difference would be nothing special."""
    stratum = np.repeat(["a", "b"], 4)
    values = np.array([0, 1, 2, 3, 100, 101, 102, 103.0])
    on_a = np.array([0, 0, 1, 1, 0, 0, 1, 1], dtype=bool)
    assert permutation_p(values, on_a, stratum, "x") == pytest.approx(2 / 36, abs=0.01)


def placed(session, device, placement, recording="r"):
    names = {"session": session, "device": device, "recording": recording}
    return names | {"placement": placement}


def test_conditions_come_from_cards_and_wrists():
    known = {"title": "", "wearer": "ada", "activity": "run", "devices": 2}
    known |= {"clocks_aligned": 1, "clocks_left": 1}
    told = {"session": "s-1", "conditions": '{"temperature_c": 8, "tattoo": true}'}
    sessions = SESSIONS.from_rows([known | told, known | {"session": "s-2"}])
    rows = [
        placed("s-1", "watch", "left_wrist"),
        placed("s-1", "band", "other"),
        placed("s-2", "watch", "left_wrist"),
        placed("s-2", "watch", "right_wrist", "second"),
        placed("s-2", "band", "upper_arm"),
    ]
    found = stated_conditions(PLACEMENTS.from_rows(rows), sessions)
    assert found.to_numpy().tolist() == [
        ["s-1", "watch", "temperature_c", 8],
        ["s-1", "watch", "tattoo", True],
        ["s-1", "watch", PLACEMENT, "left_wrist"],
        ["s-1", "band", "temperature_c", 8],
        ["s-1", "band", "tattoo", True],
        # Worn twice at once, the watch sat on no one wrist.
        ["s-2", "band", PLACEMENT, "upper_arm"],
    ]
    assert stated_conditions(PLACEMENTS.empty(), SESSIONS.empty()).empty
