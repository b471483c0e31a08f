"""How many more sessions it takes, by hand from Student's t (tables of its quantiles, e.g. Fisher &
Yates 1963; values from memory, to two decimals)."""

import math

import pytest

from strapline.method.claims.more import more_sessions, takes, takes_for_share
from strapline.method.metrics.value import Value


def seen(mean, sd, sessions, t):
    half = t * sd / math.sqrt(sessions)
    return Value(mean, mean - half, mean + half)


@pytest.mark.parametrize(
    ("mean", "more"),
    [
        # A mean of half its SD: root(18) / 2 = 2.12 > 2.11 = t(17), root(17) / 2 = 2.06 < 2.12.
        (2.0, 14),
        # As large as the SD: root(7) = 2.65 > 2.45 = t(6), root(6) = 2.449 < 2.57.
        (4.0, 3),
        (-4.0, 3),
        # A tenth of it takes some 390.
        (0.4, None),
        (0.0, None),
    ],
)
def test_sessions_are_added_until_t_is_large_enough(mean, more):
    assert more_sessions(seen(mean, 4.0, 4, 3.1824), 4) == more


def test_from_a_margin_it_is_the_distance_that_counts():
    assert more_sessions(seen(2.0, 4.0, 4, 3.1824), 4, from_=6.0) == 3


def test_more_is_asked_where_much_is_judged_together():
    """p of the interval itself is 0.14: t = 2, 3 degrees of freedom."""
    value = seen(4.0, 4.0, 4, 3.1824)
    alone, among_ten = more_sessions(value, 4, 0.14), more_sessions(value, 4, 1.0)
    assert alone == 3 and among_ten > alone


@pytest.mark.parametrize(
    ("met", "sessions", "about"),
    [
        # Wilson's interval of 3 of 3 begins at 44 %, that of 4 of 4 at 51 %.
        (3, 3, "about one more session"),
        # Of 26 of 38 it begins at 53 %; (1.96 / (2 x 0.192))^2 = 26.
        (9, 13, "about 13 more sessions"),
        (1, 3, "more than 30 more sessions"),
        (2, 4, "more than 30 more sessions"),
    ],
)
def test_a_share_is_told_from_a_half(met, sessions, about):
    shown = "to show it, if the share stays as seen."
    assert takes_for_share(100 * met / sessions, sessions) == f"It takes {about} {shown}"


def test_one_session_tells_no_spread():
    assert more_sessions(Value(3.0), 1) is None
    assert more_sessions(Value(3.0, math.nan, math.nan), 2) is None


def test_in_words():
    shown = "to show it, if the spread stays as seen."
    assert takes(seen(4.0, 4.0, 4, 3.1824), 4) == f"It takes about 3 more sessions {shown}"
    assert takes(seen(0.1, 4.0, 4, 3.1824), 4) == f"It takes more than 30 more sessions {shown}"
    # root(9) x 0.77 = 2.32 > 2.31 = t(8).
    assert takes(seen(0.77 * 3, 3.0, 8, 2.3646), 8) == f"It takes about one more session {shown}"
