import numpy as np
import pytest

from strapline.method.signal.beat_rate import rate_at_seconds


def test_the_reciprocal_of_the_mean_interval(worked_example):
    # rr_artefact_demo.csv states 60 / mean(RR) = 73.34963 and mean(60 / RR) = 73.36686 for its
    # intervals without the artefacts; a window wide enough for all must give the former.
    rr = worked_example("rr_artefact_demo.csv")["rr_ms"].to_numpy(dtype=float)
    kept = ~np.isin(rr, [1624, 405, 420, 560, 1090])
    end = np.cumsum(rr) / 1000
    expected = 60_000 / rr[kept].mean()
    _, rate = rate_at_seconds(end, rr, kept, window_s=1000)
    assert np.isnan(rate).all(), "a window that beats do not half fill has no rate"
    seconds, rate = rate_at_seconds(end, rr, kept, window_s=40)
    middle = rate[np.abs(seconds - 12) < 1]
    assert middle == pytest.approx(expected, abs=1e-9)
    assert expected != pytest.approx((60_000 / rr[kept]).mean(), abs=0.005)


def test_constant_beats_give_their_rate_everywhere():
    rr = np.full(100, 500.0)
    seconds, rate = rate_at_seconds(10 + np.cumsum(rr) / 1000, rr, np.full(100, True), 5)
    assert seconds[0] == 11
    assert seconds[-1] == 60
    assert rate == pytest.approx(120)


def test_no_rate_where_the_beats_are_gone():
    rr = np.full(60, 1000.0)
    kept = np.full(60, True)
    kept[20:40] = False
    seconds, rate = rate_at_seconds(np.cumsum(rr) / 1000, rr, kept, 5)
    missing = seconds[np.isnan(rate)]
    assert missing.min() == pytest.approx(21, abs=1)
    assert missing.max() == pytest.approx(40, abs=1)


def test_no_beats():
    seconds, rate = rate_at_seconds(np.array([]), np.array([]), np.array([], dtype=bool), 5)
    assert seconds.size == rate.size == 0
