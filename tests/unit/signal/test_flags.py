import numpy as np
import pandas as pd

from strapline.settings import Plausibility, RrIntervals
from strapline.signal.flags import flag_beats, flag_samples
from strapline.tables import SAMPLES


def flags(rows, plausibility=Plausibility()):  # noqa: B008
    frame = SAMPLES.from_rows(
        [
            {
                "ordinal": n,
                "time": None if s is None else pd.Timestamp(1_770_000_000 + s, unit="s", tz="UTC"),
                "heart_rate_bpm": rate,
            }
            for n, (s, rate) in enumerate(rows)
        ]
    )
    return list(flag_samples(frame, plausibility))


def test_each_reason():
    rows = [
        (0, 60),
        (1, None),
        (2, 0),
        (3, 29),
        (4, 241),
        (None, 60),
        (0, 61),
        (400_000, 60),
        (5, 240),
    ]
    assert flags(rows) == [
        "kept",
        "no_value",
        "zero",
        "implausible",
        "implausible",
        "no_time",
        "repeated_time",
        "far_off_time",
        "kept",
    ]


def test_of_a_repeated_time_the_first_value_is_kept():
    assert flags([(0, None), (0, 60), (0, 70)]) == ["no_value", "kept", "repeated_time"]


def test_the_range_is_a_setting():
    assert flags([(0, 0), (1, 1000)], Plausibility(lowest_bpm=-5, highest_bpm=2000)) == ["kept"] * 2


def test_artefacts_in_the_worked_example(worked_example):
    # rr_artefact_demo.csv: 1624 is a missed beat, 405 and 420 one beat read as two, 560 and 1090
    # an early beat and the pause after it. The rule on neighbours finds just these five, where
    # comparing with the interval before also blames good intervals beside them.
    rr = worked_example("rr_artefact_demo.csv")["rr_ms"].to_numpy()
    found = np.flatnonzero(flag_beats(rr, Plausibility(), RrIntervals()) != "kept")
    assert list(rr[found]) == [1624, 405, 420, 560, 1090]


def test_impossible_intervals():
    rr = np.array([800.0, 810, 100, 805, 2500, 800])
    assert list(flag_beats(rr, Plausibility(), RrIntervals())) == [
        "kept",
        "kept",
        "implausible",
        "kept",
        "implausible",
        "kept",
    ]
    assert flag_beats(np.array([]), Plausibility(), RrIntervals()).size == 0
