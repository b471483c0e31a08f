from collections import Counter
from itertools import combinations, pairwise, product

from hypothesis import given, settings
from hypothesis import strategies as st

from strapline.method.planning.schedule import MOST_AHEAD, Outing, schedule

DEVICES = ("a", "b", "c", "d", "e")
ACTIVITIES = ("run", "ride", "row", "strength")


def wrists(outings):
    """Left minus right by device and activity, and sessions."""
    difference, count = Counter(), Counter()
    for outing in outings:
        for device, step in ((outing.left, 1), (outing.right, -1)):
            if device is not None:
                difference[device, outing.activity] += step
                count[device, outing.activity] += 1
    return difference, count


def equal_need(devices, activities, sessions):
    return dict.fromkeys(product(devices, activities), sessions)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 5), st.integers(1, 4), st.integers(1, 12), st.integers(1, 3))
def test_from_nothing_everything_is_even(devices, activities, sessions, people):
    devices, activities = DEVICES[:devices], ACTIVITIES[:activities]
    wearers = ["ada", "ben", "cy"][:people]
    need = equal_need(devices, activities, sessions)
    outings = schedule(need, [], devices, activities, wearers)
    difference, count = wrists(outings)
    for cell in need:
        assert sessions <= count[cell] <= sessions + 1
        assert abs(difference[cell]) <= 1
    if len(devices) > 1:
        met = Counter((frozenset(outing.worn), outing.activity) for outing in outings)
        pairs = [
            met[frozenset(pair), activity]
            for pair in combinations(devices, 2)
            for activity in activities
        ]
        assert max(pairs) - min(pairs) <= (1 if len(devices) < 5 else 2)
    worn = Counter(outing.wearer for outing in outings)
    assert max(worn.values()) - min(worn[one] for one in wearers) <= len(activities)


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(
        st.tuples(st.sampled_from(DEVICES[:4]), st.sampled_from(ACTIVITIES[:3])),
        st.integers(0, 9),
    ),
    st.lists(
        st.builds(
            Outing,
            st.sampled_from(ACTIVITIES[:3]),
            st.just("ada"),
            st.sampled_from(("a", "b", None)),
            st.sampled_from(("c", "d", None)),
        ),
        max_size=20,
    ),
)
def test_whatever_was_recorded_nobody_is_left_short(need, recorded):
    outings = schedule(need, recorded, DEVICES[:4], ACTIVITIES[:3], ["ada"])
    _, count = wrists(outings)
    assert all(count[cell] >= sessions for cell, sessions in need.items())
    assert all(outing.left != outing.right for outing in outings)
    assert outings == schedule(need, recorded, DEVICES[:4], ACTIVITIES[:3], ["ada"])


def test_a_device_that_was_only_worn_left_goes_right():
    recorded = [Outing("run", "ada", "a", "b")] * 3
    outings = schedule({("a", "run"): 3, ("b", "run"): 3}, recorded, "ab", ["run"], ["ada"])
    assert outings == [Outing("run", "ada", "b", "a")] * 3


def test_activities_follow_each_other_equally_often():
    """Four wearers, a row of the Williams square each."""
    need = equal_need(("a", "b"), ACTIVITIES, 4)
    outings = schedule(need, [], ("a", "b"), ACTIVITIES, ["w1", "w2", "w3", "w4"])
    rows = {}
    for outing in outings:
        rows.setdefault(outing.wearer, []).append(outing.activity)
    follows = Counter(pair for row in rows.values() for pair in pairwise(row))
    assert len(follows) == 12
    assert set(follows.values()) == {1}


def test_one_device_changes_wrists_and_leaves_the_other_bare():
    outings = schedule({("a", "run"): 4}, [], ["a"], ["run"], [])
    assert Counter((o.left, o.right) for o in outings) == {("a", None): 2, (None, "a"): 2}
    assert {outing.wearer for outing in outings} == {""}


def test_an_odd_device_out_is_worn_beside_one_that_is_done():
    outings = schedule({("c", "run"): 2}, [], "abc", ["run"], ["ada"])
    assert all("c" in outing.worn and len(outing.worn) == 2 for outing in outings)
    assert {o.left for o in outings if o.left != "c"} != {
        o.right for o in outings if o.right != "c"
    }


def test_nothing_needed_nothing_planned():
    assert schedule({("a", "run"): 0}, [], ["a"], ["run"], ["ada"]) == []
    assert schedule({}, [], [], [], []) == []


def test_a_plan_without_end_ends():
    need = equal_need(DEVICES, ACTIVITIES, 10**9)
    assert len(schedule(need, [], DEVICES, ACTIVITIES, [])) == MOST_AHEAD
