from collections import Counter
from itertools import combinations, islice, pairwise, product

from hypothesis import given, settings
from hypothesis import strategies as st

from strapline.method.planning.schedule import Outing
from strapline.method.planning.schedule import schedule as sessions_to_come
from strapline.method.planning.wants import Wants

DEVICES = ("a", "b", "c", "d", "e")
ACTIVITIES = ("run", "ride", "row", "strength")


def schedule(need, recorded, devices, activities, wearers, elsewhere=None, week=()):
    names = (tuple(devices), tuple(activities), tuple(wearers))
    wanted = Wants(*names, elsewhere=elsewhere or {}, week=tuple(week), soon=4)
    return list(sessions_to_come(need, recorded, wanted))


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


def test_a_plan_without_end_is_made_no_further_than_it_is_asked_for():
    need = equal_need(DEVICES, ACTIVITIES, 10**9)
    wanted = Wants(DEVICES, ACTIVITIES, (), elsewhere={}, week=(), soon=4)
    assert len(list(islice(sessions_to_come(need, [], wanted), 7))) == 7


def test_what_is_for_no_wrist_is_worn_beside_and_each_place_holds_one():
    places = {"ring": ("left_finger",), "gem": ("left_finger",), "pod": ("other",)}
    devices = ("a", "ring", "gem", "b", "pod")
    need = equal_need(devices, ["run"], 4)
    outings = schedule(need, [], devices, ["run"], [], places)
    assert all(set(o.on_wrists) == {"a", "b"} for o in outings)
    assert all(dict(o.elsewhere)["pod"] == "other" for o in outings)
    fingers = [[d for d, place in o.elsewhere if place == "left_finger"] for o in outings]
    assert Counter(map(len, fingers)) == {1: 8}
    assert Counter(finger for (finger,) in fingers) == {"ring": 4, "gem": 4}


def test_two_armbands_share_no_arm():
    arms = ("left_upper_arm", "right_upper_arm")
    need = equal_need(("x", "y"), ["run"], 2)
    outings = schedule(need, [], ("x", "y"), ["run"], [], {"x": arms, "y": arms})
    assert [(o.left, o.right) for o in outings] == [(None, None)] * 2
    assert all(len({place for _, place in o.elsewhere}) == 2 for o in outings)


def test_a_week_goes_as_the_tester_trains():
    week = ("run", "strength", "run")
    need = equal_need(("a", "b"), ["run", "strength", "row"], 4)
    outings = schedule(need, [], ("a", "b"), ["run", "strength", "row"], [], week=week)
    activities = [outing.activity for outing in outings]
    assert activities == [*week, *week, "strength", "strength"]
    difference, _ = wrists(outings)
    assert set(difference.values()) == {0}
