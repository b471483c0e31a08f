import itertools

from hypothesis import given
from hypothesis import strategies as st

from strapline.telling.charts.ends import spread


@given(st.lists(st.floats(0, 100), min_size=1, max_size=8))
def test_labels_keep_apart_and_in_order(wanted):
    places = spread(wanted, 10, 0, 100)
    ordered = sorted(places)
    assert all(b - a >= 10 - 1e-9 for a, b in itertools.pairwise(ordered))
    assert all(-1e-9 <= place <= 100 + 1e-9 for place in places)
    for i, one in enumerate(wanted):
        for j, other in enumerate(wanted):
            assert one >= other or places[i] < places[j]


def test_labels_that_do_not_collide_stay():
    assert spread([50, 10, 90], 10, 0, 100) == [50, 10, 90]
