"""`starts_at` is when the first sample was, whatever the file itself counts from."""

import datetime as dt
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from intakes import recording as entry
from strapline.ground.records.card import Card, ClockNote
from strapline.ground.tables.recordings import first_of_file
from strapline.method.signal.normalised import utc_times
from strapline.reading.formats import read_export

BEGAN = dt.datetime(2026, 3, 2, 18, 5, tzinfo=dt.UTC)
SECONDS = range(60)


@pytest.mark.parametrize(
    ("heading", "first"), [("t", 0), ("t", 12), ("uptime (s)", 15_552_000), ("time", 5000)]
)
def test_elapsed_times_count_from_the_first_sample(
    tmp_path: Path, heading: str, first: float
) -> None:
    path = tmp_path / "export.csv"
    rows = "".join(f"{first + n},{70 + n % 9},{1000 + n % 7}\n" for n in SECONDS)
    path.write_text(f"{heading},hr,rr\n{rows}")
    export = read_export(path)
    known = entry(
        clock=export.clock,
        clock_note=ClockNote(starts_at=BEGAN),
        first_s=first_of_file(export.samples, export.beats),
    )
    for frame in (export.samples, export.beats):
        times = utc_times(frame, known)
        assert (times.min(), times.max()) == (BEGAN, BEGAN + dt.timedelta(seconds=59))


def test_the_intervals_of_a_plain_list_begin_when_it_does(tmp_path: Path) -> None:
    path = tmp_path / "beats.txt"
    path.write_text("".join(f"{800 + n % 9}\n" for n in SECONDS))
    export = read_export(path)
    known = entry(clock=export.clock, clock_note=ClockNote(starts_at=BEGAN))
    assert utc_times(export.beats, known).min() == BEGAN + dt.timedelta(milliseconds=800)


def test_a_wrong_date_gives_way_and_beats_stay_beside_their_samples() -> None:
    times = pd.to_datetime(np.arange(60) * 1000, unit="ms", utc=True)
    samples = pd.DataFrame({"time": times, "elapsed_s": np.nan})
    beats = pd.DataFrame({"time": times[1:], "elapsed_s": np.nan, "rr_ms": 1000.0})
    known = entry(clock_note=ClockNote(starts_at=BEGAN), first_s=first_of_file(samples, beats))
    assert utc_times(samples, known).min() == BEGAN
    assert utc_times(beats, known).min() == BEGAN + dt.timedelta(seconds=1)


def test_a_moment_stated_in_a_card_stays_so_in_any_zone() -> None:
    card = Card.model_validate({"recordings": [{"device": "a", "clock": {"starts_at": BEGAN}}]})
    assert card.recordings[0].clock.starts_at == BEGAN


def test_times_in_another_unit_are_as_far_from_the_first_as_that_makes_them() -> None:
    elapsed = pd.DataFrame({"time": pd.NaT, "elapsed_s": np.arange(60) * 10.0 + 500})
    elapsed["time"] = pd.to_datetime(elapsed["time"], utc=True)
    dated = pd.DataFrame({"time": pd.to_datetime(np.arange(60) * 10_000, unit="ms", utc=True)})
    known = entry(
        clock="elapsed", clock_note=ClockNote(starts_at=BEGAN), first_s=500, time_scale=0.1
    )
    assert utc_times(elapsed, known).max() == BEGAN + dt.timedelta(seconds=59)
    by_date = entry(first_s=0.0, time_scale=0.1)
    times = utc_times(dated.assign(elapsed_s=np.nan), by_date)
    assert (times.max() - times.min()).total_seconds() == 59
