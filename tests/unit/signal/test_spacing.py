import numpy as np
import pytest

from strapline.method.signal.spacing import Spacing, every, independent_reports, longest_unit_s


@pytest.mark.parametrize(
    ("apart", "usual_s", "largest_s"),
    [
        ([1] * 100, 1, 1),
        ([60] * 50, 60, 60),
        ([5, 10, 15] * 20, 10, 15),
        # By far most are a second apart; the others are dropouts.
        ([1] * 97 + [60] * 3, 1, 1),
        ([5] * 90 + [90] * 10, 5, 20),
        ([60] * 90 + [600] * 10, 60, 180),
    ],
)
def test_the_usual_and_the_largest_usual_spacing(apart, usual_s, largest_s):
    found = Spacing.of(np.cumsum(np.array(apart, dtype=float)))
    assert (found.usual_s, found.largest_s) == (usual_s, pytest.approx(largest_s, abs=0.01))


def test_one_value_has_no_spacing():
    assert Spacing.of(np.array([5.0])) == Spacing(0.0, 0.0)


def test_as_few_seconds_as_give_each_report_its_time():
    stands = np.full(180, 60.0)
    values = np.repeat([1.0, 2, 3], 60)
    assert longest_unit_s(stands, values) == 60
    # A segment that begins and ends in mid-report.
    assert longest_unit_s(stands[30:150], values[30:150]) == 30
    assert longest_unit_s(stands[17:], values[17:]) == 1
    assert longest_unit_s(np.ones(180), values) == 1
    assert longest_unit_s(np.array([])) == 1


def test_the_last_of_every_so_many():
    chosen = np.array([1, 0, 1, 1, 1, 1], dtype=bool)
    assert np.flatnonzero(every(chosen, 2)).tolist() == [2, 4]


def test_reports_are_counted_by_what_each_second_carries():
    assert independent_reports(np.repeat([60.0, 1.0], [120, 5])) == pytest.approx(7)
