"""Between what the seconds themselves lay, against quantiles of all of them by a library."""

import numpy as np
import pytest
from archives import archive, looked_up

import intakes
from strapline.ground.settings import Tolerance
from strapline.ground.tables.sessions import ALIGNED, DIFFERENCES
from strapline.method.agreement.seconds_between import BELOW, seconds_between
from strapline.method.metrics.differences import differences

MINUTES = (20, 40, 60, 30, 50, 25)


def errors(minutes, place):
    """Of one session in six a device fails for half of the time."""
    found = np.random.default_rng(place).normal(0, 3, 60 * minutes)
    found[: found.size // 2] -= 25.0 * (place == 2)
    return found


def counted(place, found):
    whole, count = np.unique(np.round(found), return_counts=True)
    return [
        {
            "session": f"s-{place:03}",
            "device": "watch",
            "alignment": "settled",
            "difference_bpm": int(bpm),
            "share": times / found.size,
        }
        for bpm, times in zip(whole, count, strict=True)
    ]


def between(sessions):
    metrics = archive(*({"sd_of_differences": 5.0, "bias": 0.0} for _ in sessions))
    rows = [row for place, found in enumerate(sessions) for row in counted(place, found)]
    return seconds_between(metrics, DIFFERENCES.from_rows(rows))


def test_as_weighted_quantiles_of_all_seconds():
    sessions = [errors(minutes, place) for place, minutes in enumerate(MINUTES)]
    table = looked_up(between(sessions), "statistic", activity="run", device="watch")
    weights = np.concatenate([np.full(found.size, 1 / found.size) for found in sessions])
    for statistic, share in BELOW.items():
        # NumPy, of values that are not rounded.
        all_seconds = np.concatenate(sessions)
        known = np.quantile(all_seconds, share, weights=weights, method="inverted_cdf")
        assert table["value"][statistic] == pytest.approx(known, abs=0.25)
        assert table["sessions"][statistic] == 6
    # Where the limits of normal errors with this spread would not be.
    assert table["value"]["seconds_lower"] < -25 and table["value"]["seconds_upper"] < 7


def test_of_four_sessions_nothing_is_told():
    assert between([errors(20, place) for place in range(4)]).empty


def test_a_session_counts_the_seconds_compared_of_each_device():
    entries = [intakes.recording("one", device="watch"), intakes.recording("two", device="watch")]
    offs = {"one": [2.4, 2.6, -1.0, 7.0], "two": [3.0, 3.0, 3.0, 3.0]}
    rows = [
        {
            "recording": name,
            "device": "watch",
            "alignment": "settled",
            "time": 1000 * second,
            "reference_bpm": 100.0,
            "device_bpm": 100.0 + off,
            "status": "no_device" if off == 7.0 else "compared",
            "stands_for_s": 1.0,
        }
        for name, own in offs.items()
        for second, off in enumerate(own)
    ]
    found = differences(ALIGNED.from_rows(rows), intakes.session(*entries), Tolerance())
    assert found["difference_bpm"].tolist() == [-1, 2, 3]
    assert found["share"].tolist() == pytest.approx([1 / 7, 1 / 7, 5 / 7])
    assert set(found["session"]) == {"s-1"}
