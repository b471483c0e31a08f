"""The short path, against printed values and a general-purpose library, and the rules of rows."""

import numpy as np
import pytest
from scipy import stats

from strapline.ground.records.card import Segment
from strapline.ground.tables.sessions import ALIGNED
from strapline.keeping.tracing.recompute import equal, recomputed
from strapline.keeping.tracing.seconds import Seconds, Within
from strapline.method.metrics import registry
from strapline.method.metrics.again import InOrder, Near, Pairs
from strapline.method.signal.grid import times_of

NEAR = Near(5, 10)
EVERY = [metric.key for metric in registry.METRICS]


def figures(reference, device, comparable=None):
    arrays = np.asarray(reference, float), np.asarray(device, float)
    return recomputed(Pairs(*arrays, comparable or arrays[0].size), NEAR, EVERY)


def grid(reference, device, status, stands_for_s=1.0):
    count = len(status)
    return ALIGNED.frame(
        {
            "recording": ["watch"] * count,
            "device": ["watch"] * count,
            "alignment": ["settled"] * count,
            "time": times_of(1_770_000_000 + np.arange(count)),
            "reference_bpm": np.asarray(reference, float),
            "device_bpm": np.asarray(device, float),
            "status": status,
            "stands_for_s": np.full(count, stands_for_s),
        }
    )


def test_printed_limits_of_agreement(worked_example):
    # Bland & Altman 1986, Lancet 327:307-310, table 1; Giavarina 2015, Biochemia Medica 25:141-151.
    pefr = worked_example("pefr_ba1986.csv")
    found = figures(pefr["mini1"], pefr["wright1"])
    assert found["bias"] == pytest.approx(-2.1, abs=0.05)
    assert found["sd_of_differences"] == pytest.approx(38.8, abs=0.05)
    giavarina = worked_example("giavarina2015.csv")
    found = figures(giavarina["Method B"], giavarina["Method A"])
    assert found["limit_lower"] == pytest.approx(-95.39, abs=0.005)
    assert found["limit_upper"] == pytest.approx(41.05, abs=0.005)


def test_a_library_gives_the_same(worked_example):
    pefr = worked_example("pefr_ba1986.csv")
    r, d = pefr["mini1"].to_numpy(float), pefr["wright1"].to_numpy(float)
    found = figures(r, d)
    assert found["pearson_r"] == pytest.approx(stats.pearsonr(r, d).statistic)
    assert found["absolute_error_p95"] == pytest.approx(np.percentile(abs(d - r), 95))
    line = stats.linregress((r + d) / 2, d - r)
    assert found["proportional_slope"] == pytest.approx(line.slope)
    # From a general-purpose library, as in tests/published.
    assert found["concordance"] == pytest.approx(0.9427424, abs=1e-7)


def test_by_hand():
    found = figures([100, 100, 200], [106, 90, 200], comparable=4)
    assert found["mae"] == pytest.approx(16 / 3)
    assert found["mape"] == pytest.approx(16 / 3)
    assert found["rmse"] == pytest.approx((136 / 3) ** 0.5)
    assert found["maximum_difference_percent"] == found["maximum_difference"] == 0
    assert found["bias_percent"] == pytest.approx(-1)
    within = ("within_beats", "within_percent", "within_either")
    assert [found[name] for name in within] == pytest.approx([100 / 3, 100, 100])
    assert found["coverage"] == 75


def test_without_pairs_there_are_no_figures():
    found = figures([], [], comparable=3)
    assert found.pop("coverage") == 0
    assert all(np.isnan(list(found.values())))


def test_equal_means_the_same_but_for_the_order_of_a_sum():
    assert equal(3.0, 3.0 + 1e-12) and equal(float("nan"), float("nan"))
    assert not equal(3.0, 3.000001) and not equal(3.0, float("nan"))


def test_first_lock_is_where_thirty_near_seconds_begin():
    reference = np.full(60, 100.0)
    device = np.where(np.arange(60) < 12, 130.0, 105.0)
    device[20] = np.nan

    def locked(n):
        in_order = InOrder(np.arange(float(n)), reference[:n], device[:n])
        pairs = Pairs(reference[:n], device[:n], n, in_order)
        return recomputed(pairs, NEAR, ["first_lock"])["first_lock"]

    assert locked(60) == 21
    assert np.isnan(locked(20))


def test_a_scope_takes_its_own_seconds():
    status = ["compared"] * 8 + ["no_device", "excluded: stop"]
    rows = grid(np.arange(100, 110), np.arange(101, 111), status)
    seconds = Seconds.of(rows)
    chosen = seconds.in_scope("segment:Squats", Within([Segment(start=2, end=5, label="Squats")]))
    assert np.flatnonzero(chosen).tolist() == [2, 3, 4]
    # Vigorous is 77 to 95 % of the maximum (American College of Sports Medicine, from memory).
    chosen = seconds.in_scope("intensity:vigorous", Within(maximum_bpm=136.0))
    assert rows["reference_bpm"][chosen].min() == 105
    assert seconds.pairs("whole").comparable == 9
    assert seconds.pairs("uncut").reference.size == 10
    assert seconds.pairs("epoch:5").reference.tolist() == [102, 106]


def test_beside_another_only_the_seconds_of_both_count():
    ours = Seconds.of(grid([100] * 4, [101, 102, 103, 104], ["compared"] * 4))
    status = ["compared", "no_device", "compared", "no_device"]
    within = Within(others={"band": Seconds.of(grid([100] * 4, [100] * 4, status))})
    assert ours.figures("beside:band", ["mae"], NEAR, within) == {"mae": 2}
    seldom = Within(others={"band": Seconds.of(grid([100] * 4, [100] * 4, status, 60.0))})
    assert ours.figures("beside:band", ["mae"], NEAR, seldom) == {"mae": 2}
    assert ours.figures("of a kind not known here", ["mae"], NEAR, within) == {}


def test_a_device_that_reports_once_a_minute_misses_one_pair_a_minute():
    status = ["compared"] * 120 + ["no_device"] * 125
    seconds = Seconds.of(grid([100] * 245, [100] * 245, status, 60.0))
    assert seconds.pairs("whole").comparable == 4


def test_rows_keep_their_time_across_gaps():
    rows = grid([100] * 20, [100] * 20, ["no_device"] * 10 + ["compared"] * 10)
    part = Seconds.of(rows).where(Seconds.of(rows).compared)
    assert part.since_start.tolist() == list(range(10, 20))
