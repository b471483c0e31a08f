from collections import Counter
from itertools import pairwise

import pytest

from strapline.method.planning.schedule import williams


def test_the_square_of_four_treatments_is_the_published_one():
    """Williams 1949, Aust J Sci Res A 2:149-168; the square as textbooks of crossover trials
    print it: ABDC, BCAD, CDBA, DACB (from memory)."""
    rows = ["".join("ABCD"[number] for number in row) for row in williams(4)]
    assert rows == ["ABDC", "BCAD", "CDBA", "DACB"]


@pytest.mark.parametrize("things", range(2, 10))
def test_each_follows_each_other_equally_often(things):
    rows = williams(things)
    times = 1 if things % 2 == 0 else 2
    assert len(rows) == times * things
    follows = Counter(pair for row in rows for pair in pairwise(row))
    assert len(follows) == things * (things - 1)
    assert set(follows.values()) == {times}


@pytest.mark.parametrize("things", range(1, 10))
def test_each_stands_at_each_place_equally_often(things):
    rows = williams(things)
    assert all(sorted(row) == list(range(things)) for row in rows)
    places = Counter((place, number) for row in rows for place, number in enumerate(row))
    assert len(set(places.values())) == 1


def test_nothing_has_no_order():
    assert williams(0) == []
