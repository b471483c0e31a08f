import numpy as np
import pandas as pd

from benchmarks.strap_faults import heart, with_artefacts
from strapline.ground.settings import Plausibility, RrIntervals
from strapline.ground.tables.recordings import SAMPLES
from strapline.method.signal.flags import far_from_neighbours, flag_beats, flag_samples
from strapline.method.signal.rr_artefacts import classify_rr


def flags(rows, plausibility=Plausibility()):  # noqa: B008
    frame = SAMPLES.from_rows(
        [
            {
                "ordinal": n,
                "stream": 1,
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
    rows = [(0, 15), (1, 290)]
    assert "kept" not in flags(rows)
    assert flags(rows, Plausibility(lowest_bpm=10, highest_bpm=300)) == ["kept"] * 2


def test_artefacts_in_the_worked_example(worked_example):
    # rr_artefact_demo.csv: 1624 is a missed beat, 405 and 420 one beat read as two, 560 and 1090
    # an early beat and the pause after it. All five are found, and with them one good interval,
    # 828, that stands between two artefacts.
    rr = worked_example("rr_artefact_demo.csv")["rr_ms"].to_numpy()
    flagged = flag_beats(rr, Plausibility(), RrIntervals(largest_change=0.4))
    found = np.flatnonzero(flagged != "kept")
    assert dict(zip(rr[found], flagged[found], strict=True)) == {
        1624: "sudden_change",
        405: "sudden_change",
        420: "sudden_change",
        828: "long",
        560: "short",
        1090: "ectopic",
    }


def test_each_rule_finds_what_the_other_does_not():
    athlete = heart("rest, strong sinus arrhythmia", 1800, "unit")
    extra = with_artefacts(athlete, "extra", 0.02, "unit")
    ectopic = with_artefacts(heart("intervals", 1800, "unit"), "ectopic", 0.02, "unit")
    for series in (extra, ectopic):
        rr, wrong = series.rr_ms, series.wrong
        flagged = flag_beats(rr, Plausibility(), RrIntervals(largest_change=0.4)) != "kept"
        neighbours = far_from_neighbours(rr, 0.4)
        kinds = classify_rr(rr) != "normal"
        weaker = kinds if series is extra else neighbours
        assert flagged[wrong].mean() > weaker[wrong].mean() + 0.2
        assert flagged[~wrong].mean() < 0.01


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


def test_impossible_intervals_are_no_neighbours():
    rr = np.array([800.0] * 20 + [100.0] * 6 + [800.0] + [100.0] * 6 + [800.0] * 20)
    flagged = flag_beats(rr, Plausibility(), RrIntervals())
    assert list(np.flatnonzero(flagged == "implausible")) == [*range(20, 26), *range(27, 33)]
    assert "sudden_change" not in flagged
