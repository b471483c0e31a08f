"""What the numbers of a table tell of themselves: units, times, beats, and what is no heart's."""

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest

from strapline.reading.formats import Export, UnreadableExport, read_export

Read = Callable[..., Export]
START_S = 1_717_149_600


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def read_rows(headings: str, *columns: Sequence[object]) -> Export:
        path = tmp_path / "export"
        rows = (",".join(map(str, row)) for row in zip(*columns, strict=True))
        path.write_text("\n".join([headings, *rows]) + "\n", encoding="utf-8")
        return read_export(path)

    return read_rows


def rhythm(count: int = 400, mean_ms: float = 780.0) -> np.ndarray:
    """RR intervals in whole ms, with a breath's swing and some noise."""
    beat = np.arange(count)
    noise = np.random.default_rng(7).normal(0, 12, count)
    return np.round(mean_ms + 40 * np.sin(beat / 4) + 60 * np.sin(beat / 90) + noise)


def rate(export: Export, stream: int = 1) -> np.ndarray:
    own = export.samples[export.samples["stream"] == stream]
    return own["heart_rate_bpm"].to_numpy()


SECONDS = range(60)
BPM = [60 + n % 30 for n in SECONDS]


@pytest.mark.parametrize("heading", ["HR (Hz)", "heart rate [1/s]", "hr_hz"])
def test_rates_in_hz_are_taken_times_60_and_told(read: Read, heading: str) -> None:
    export = read(f"time,{heading}", SECONDS, [bpm / 60 for bpm in BPM])
    assert rate(export) == pytest.approx(BPM)
    assert "in Hz, and taken times 60" in export.remarks[0]


@pytest.mark.parametrize(("heading", "span_s"), [("Puls (Schläge/15 s)", 15), ("pulse/6 s", 6)])
def test_counts_of_less_than_a_minute_are_made_rates_and_told(
    read: Read, heading: str, span_s: int
) -> None:
    export = read(f"time,{heading}", SECONDS, [bpm * span_s / 60 for bpm in BPM])
    assert rate(export) == pytest.approx(BPM)
    assert f"counted in {span_s} s, and taken times {60 / span_s:g}" in export.remarks[0]


def test_a_unit_in_a_column_of_its_own_is_that_of_the_rates(read: Read) -> None:
    hertz = [bpm / 60 for bpm in BPM]
    assert rate(read("time,heart rate,unit", SECONDS, hertz, ["Hz"] * 60)) == pytest.approx(BPM)
    assert rate(read("time,heart rate,Einheit", SECONDS, BPM, ["S/min"] * 60)).tolist() == BPM
    with pytest.raises(UnreadableExport):
        read("time,heart rate,unit", SECONDS, BPM, ["%"] * 60)
    with pytest.raises(
        UnreadableExport, match="second of the table's 2 columns is a heart rate in"
    ):
        read("time,HR (%)", SECONDS, BPM)


def test_a_cadence_in_beats_a_minute_is_no_heart_rate(read: Read) -> None:
    export = read("t,bpm (cadence),bpm (pulse)", SECONDS, [172] * 60, BPM)
    assert rate(export).tolist() == BPM
    assert export.samples["cadence_per_min"].tolist() == [172] * 60
    assert export.streams == ()


def test_averages_beside_a_heart_rate_are_no_sensor(read: Read) -> None:
    flat = [70] * 60
    for heading in ("FC moy. (bat/min)", "HR smoothed", "avg hr", "bpm 30 s", "gem. hartslag"):
        export = read(f"time,{heading},bpm", SECONDS, flat, BPM)
        assert rate(export).tolist() == BPM
        assert export.streams == ()


@pytest.mark.parametrize(
    "heading",
    ["Puls (S/min)", "Puls (Schl./min)", "HR [1/min]", "Puls S/min", "HF (min⁻¹)", "Hrate"],
)
def test_units_of_a_rate_are_read_as_such(read: Read, heading: str) -> None:
    export = read(f"time,{heading}", SECONDS, BPM)
    assert rate(export).tolist() == BPM
    assert export.remarks == ()


@pytest.mark.parametrize(
    ("headings", "values", "reason"),
    [
        ("time,hr", [1.2 + n % 5 / 100 for n in SECONDS], "below 1.22. If they are in Hz"),
        ("time,hr", [8 + n % 5 for n in SECONDS], "half of the values are below 10"),
        ("time,hr", [1000 + n % 9 for n in SECONDS], "If they are RR intervals in ms"),
        ("time,rr", [12 + n % 5 for n in SECONDS], "half of them are below 14 ms"),
        ("time,rr", [300 + 997 * n % 1700 for n in SECONDS], "they change by"),
    ],
)
def test_what_cannot_be_a_heart_is_refused_with_the_reason(
    read: Read, headings: str, values: list[float], reason: str
) -> None:
    with pytest.raises(UnreadableExport, match=reason) as refusal:
        read(headings, SECONDS, values)
    assert str(refusal.value).endswith("or RR intervals in ms.")


def test_rates_of_no_heart_leave_the_rr_intervals_beside_them(read: Read) -> None:
    rr_ms = rhythm()
    ends = np.cumsum(rr_ms) / 1000
    export = read("t,heart_rate,rr_ms", ends, 1000 / rr_ms, rr_ms)
    assert export.samples.empty
    assert export.beats["rr_ms"].tolist() == rr_ms.tolist()
    assert "none in bpm: half of the values are below 1.2" in export.remarks[0]


def test_the_power_at_high_frequencies_is_no_heart_rate(read: Read) -> None:
    power = [90 + n % 20 for n in SECONDS]
    with pytest.raises(UnreadableExport, match="no heart rate column"):
        read("time,LF,HF,SDNN", SECONDS, power, power, power)
    assert rate(read("time,HF", SECONDS, BPM)).tolist() == BPM


def test_rr_intervals_keep_the_times_that_the_file_states(read: Read) -> None:
    """Ten beats are missing; their sum would bring all later ones forward."""
    rr_ms, gone = rhythm(), slice(100, 110)
    ends = np.cumsum(rr_ms) / 1000
    kept = np.delete(np.arange(rr_ms.size), np.arange(rr_ms.size)[gone])
    export = read("elapsed (s),rr (ms)", ends[kept], rr_ms[kept])
    assert export.clock == "elapsed"
    assert export.beats["elapsed_s"].to_numpy() == pytest.approx(ends[kept])
    assert export.remarks == ()


@pytest.mark.parametrize("between", [" ", ";", "|", ", ", "] ["])
@pytest.mark.parametrize("time", ["elapsed (s)", "timestamp"])
def test_several_intervals_in_a_cell_are_each_read(tmp_path: Path, between: str, time: str) -> None:
    rr_ms = rhythm(mean_ms=430)
    ends = np.cumsum(rr_ms) / 1000
    rows = []
    for second in range(int(ends[-1]) + 2):
        own = rr_ms[(ends > second - 1) & (ends <= second)]
        first = 0 if time == "elapsed (s)" else START_S
        rows.append(f"{first + second}\t{between.join(f'{rr:g}' for rr in own)}")
    path = tmp_path / "export"
    path.write_text("\n".join([f"{time}\tRR (ms)", *rows]), encoding="utf-8")
    export = read_export(path)
    assert export.beats["rr_ms"].tolist() == rr_ms.tolist()
    seconds = export.beats["elapsed_s"].to_numpy()
    if time == "timestamp":
        seconds = (export.beats["time"] - export.beats["time"].iloc[0]).dt.total_seconds()
        seconds = seconds.to_numpy() + ends[0]
    assert seconds == pytest.approx(ends, abs=1.01)


def test_times_at_which_intervals_start_are_told_by_the_steps(read: Read) -> None:
    rr_ms = rhythm()
    ends = np.cumsum(rr_ms) / 1000
    export = read("elapsed (s),rr (ms)", ends - rr_ms / 1000, rr_ms)
    assert export.beats["elapsed_s"].to_numpy() == pytest.approx(ends)


def test_sums_and_stated_times_that_part_are_told(read: Read) -> None:
    rr_ms = rhythm()
    export = read("elapsed (s),rr (ms)", np.cumsum(rr_ms) / 900, rr_ms)
    assert "add up to 0.90 of the time they span" in export.remarks[0]


@pytest.mark.parametrize("heading", ["rr (ms)", "rr"])
def test_ticks_of_1024_called_ms_are_converted_and_told(read: Read, heading: str) -> None:
    rr_ms = rhythm()
    export = read(f"elapsed (s),{heading}", np.cumsum(rr_ms) / 1000, np.round(rr_ms * 1.024))
    assert export.beats["rr_ms"].to_numpy() == pytest.approx(rr_ms, abs=0.6)
    assert "count 1/1024 s and not ms; they are converted" in export.remarks[0]


@pytest.mark.parametrize("count", [80, 120, 400, 1200])
def test_times_in_whole_seconds_convert_nothing_that_is_in_ms(read: Read, count: int) -> None:
    rr_ms = rhythm(count)
    for late in (0.0, 0.3, 0.6, 0.9):
        ends = np.floor(np.cumsum(rr_ms) / 1000 + late)
        export = read("elapsed (s),rr (ms)", ends, rr_ms)
        assert export.beats["rr_ms"].tolist() == rr_ms.tolist()
    ticks = read("elapsed (s),rr (ms)", np.floor(np.cumsum(rr_ms) / 1000), np.round(rr_ms * 1.024))
    assert bool(ticks.remarks) == (count == 1200)


def test_ticks_of_1024_that_the_heading_states_are_converted(read: Read) -> None:
    rr_ms = rhythm()
    ticks = np.round(rr_ms * 1.024)
    export = read("elapsed (s),RR (1/1024 s)", np.cumsum(rr_ms) / 1000, ticks)
    assert export.beats["rr_ms"].to_numpy() == pytest.approx(rr_ms, abs=0.6)
    assert export.remarks == ()


def test_intervals_that_would_last_longer_than_their_time_are_refused(read: Read) -> None:
    rr_ms = rhythm()
    with pytest.raises(UnreadableExport, match="times the time that they span"):
        read("elapsed (s),rr (ms)", np.cumsum(rr_ms) / 1250, rr_ms)


def test_intervals_that_fill_their_rows_are_no_ticks(read: Read) -> None:
    """At 58.6 bpm the last interval at each second adds up to 1.024 of the time."""
    export = read("t,rr (ms)", range(400), [1024 + n % 3 for n in range(400)])
    assert export.beats["rr_ms"].to_numpy().mean() == pytest.approx(1025, abs=1)
    assert export.remarks == ()


@pytest.mark.parametrize(("mean_ms", "step_s"), [(620, 1.0), (1450, 1.0), (780, 2.0), (900, 0.25)])
def test_the_latest_interval_at_even_steps_is_a_heart_rate(
    read: Read, mean_ms: float, step_s: float
) -> None:
    rr_ms = rhythm(mean_ms=mean_ms)
    ends = np.cumsum(rr_ms) / 1000
    seconds = np.arange(2, ends[-1], step_s)
    latest = rr_ms[np.searchsorted(ends, seconds, side="right") - 1]
    export = read("t (s),RR (ms)", seconds, latest)
    assert rate(export) == pytest.approx(60_000 / latest)
    assert export.beats.empty
    assert "the latest and not every one; they are read as heart rates" in export.remarks[0]
    beside = read("t (s),RR (ms),HR", seconds, latest, 60_000 / latest + 3)
    assert rate(beside) == pytest.approx(60_000 / latest + 3)
    assert beside.beats.empty
    assert "the heart rates beside them are used" in beside.remarks[0]


@pytest.mark.parametrize(("mean_bpm", "decimals"), [(145, 0), (145, 1), (70, 0)])
def test_a_rate_times_ten_is_no_interval_whatever_its_heading_says(
    read: Read, mean_bpm: int, decimals: int
) -> None:
    noise = np.convolve(np.random.default_rng(3).normal(0, 1, 640), np.ones(40) / 6, "valid")
    bpm = np.round(mean_bpm + 6 * np.sin(np.arange(600) / 40) + noise[:600], decimals)
    with pytest.raises(UnreadableExport, match="What it calls RR intervals are none"):
        read("time,pulse (ms)", range(600), bpm * 10)
    with pytest.raises(UnreadableExport, match="What it calls a heart rate is none") as refusal:
        read("time,pulse", range(600), bpm * 10)
    assert "(ms)" not in str(refusal.value)


def test_a_rate_that_is_hardly_a_wearers_is_told(read: Read) -> None:
    export = read("time,pulse", range(600), [35 + n // 40 % 4 for n in range(600)])
    assert "below 36 bpm. If it counts the beats of less than a minute" in export.remarks[0]


@pytest.mark.parametrize("in_bpm", [True, False])
def test_a_column_of_beats_that_is_called_a_rate_is_recognised(read: Read, in_bpm: bool) -> None:
    rr_ms = rhythm()
    values = 60_000 / rr_ms if in_bpm else rr_ms
    export = read("elapsed (s),heart rate", np.cumsum(rr_ms) / 1000, values)
    assert export.samples.empty
    assert export.beats["rr_ms"].to_numpy() == pytest.approx(rr_ms)
    assert len(export.remarks) == 1


def test_the_time_that_rises_with_the_rows_is_taken_and_told(read: Read) -> None:
    export = read("duration,time since start,hr", [60] * 37, range(0, 37 * 60, 60), BPM[:37])
    assert export.samples["elapsed_s"].tolist() == list(range(0, 37 * 60, 60))
    assert export.remarks == (
        "Its times are from the second of its columns of times, which rises with the rows; the "
        "first stands still.",
    )


def test_turns_of_unlike_length_are_no_time_of_the_rows(read: Read) -> None:
    turns = [50 + 7 * (n % 4) for n in range(37)]
    export = read("duration,seconds,hr", turns, np.cumsum(turns), BPM[:37])
    assert export.samples["elapsed_s"].tolist() == np.cumsum(turns).tolist()
    assert "the first goes to and fro" in export.remarks[0]


def test_a_moment_that_stands_still_gives_way_to_a_time_that_rises(read: Read) -> None:
    export = read("timestamp,elapsed,hr", ["2024-05-31T10:00:00Z"] * 60, SECONDS, BPM)
    seconds = (export.samples["time"] - export.samples["time"].iloc[0]).dt.total_seconds()
    assert (export.clock, seconds.tolist()) == ("utc", list(SECONDS))
    assert "The first of its columns of times stands still" in export.remarks[0]


def test_times_that_all_stand_still_are_refused(read: Read) -> None:
    with pytest.raises(UnreadableExport, match="All 60 rows of the file have the same time"):
        read("duration,hr", [60] * 60, BPM)


def test_moments_to_the_minute_take_their_seconds_from_the_time_elapsed(read: Read) -> None:
    seconds = range(600)
    minutes = [f"2024-05-31T10:{(17 + s) // 60:02}:00Z" for s in seconds]
    export = read("time,elapsed,hr", minutes, seconds, [70 + s % 9 for s in seconds])
    first, last = export.samples["time"].iloc[[0, -1]]
    assert first.isoformat() == "2024-05-31T10:00:17+00:00"
    assert (last - first).total_seconds() == 599


@pytest.mark.parametrize(
    ("heading", "values", "last_s"),
    [
        ("timestamp", [5_312_000 + 1000 * n for n in SECONDS], 59),
        ("timestamp", [300 * n for n in SECONDS], 17_700),
        ("t", [1_000_000 * n for n in SECONDS], 59),
        ("elapsed (s)", [1000 * n for n in SECONDS], 59_000),
    ],
)
def test_times_without_a_unit_are_told_by_their_steps(
    read: Read, heading: str, values: list[int], last_s: float
) -> None:
    elapsed = read(f"{heading},hr", values, BPM).samples["elapsed_s"]
    assert elapsed.iloc[-1] - elapsed.iloc[0] == pytest.approx(last_s)


def test_days_as_spreadsheets_count_them_are_moments(read: Read) -> None:
    export = read("time,hr", [f"{45_443.41666667 + n / 86_400:.8f}" for n in SECONDS], BPM)
    first, last = export.samples["time"].iloc[[0, -1]]
    assert (export.clock, f"{first:%Y-%m-%d %H:%M:%S}") == ("local", "2024-05-31 10:00:00")
    assert (last - first).total_seconds() == pytest.approx(59, abs=0.01)
    assert "days since 1900" in export.remarks[0]
    shown = read("t,hr", [f"{45_443 + n}" for n in SECONDS], BPM)
    assert shown.clock == "elapsed"


def test_an_uptime_is_not_told_as_a_time_of_day(read: Read) -> None:
    export = read("uptime (s),hr", [15_552_000 + n for n in SECONDS], BPM)
    assert "as from when a device was switched on" in export.remarks[0]
    assert "times of day" not in export.remarks[0]


def test_a_table_of_several_sensors_by_name_is_several_streams(read: Read) -> None:
    """Names may be persons'; only words that tell a kind of sensor are passed on."""
    times = [START_S + n // 2 for n in range(120)]
    values = [(150 if n % 2 else 90) + n // 8 for n in range(120)]
    names = ["Mias Uhr" if n % 2 else "Mias Brustgurt" for n in range(120)]
    export = read("time,heart rate,source", times, values, names)
    assert rate(export, 1).tolist() == values[::2]
    assert rate(export, 2).tolist() == values[1::2]
    assert [s.kind for s in export.streams] == ["chest_strap", "wrist"]
    assert "Mia" not in repr(export)


def test_a_column_of_something_else_called_like_a_rate_is_no_recording(read: Read) -> None:
    export = read("time,hr,hr left", SECONDS, BPM, [3 + n % 2 for n in SECONDS])
    assert export.streams == ()
    assert rate(export).tolist() == BPM
    assert "below 3.5" in export.remarks[0]


def test_what_jumps_from_one_row_to_the_next_is_no_heart(read: Read) -> None:
    power = np.random.default_rng(3).lognormal(4.5, 0.6, 300).round(2)
    with pytest.raises(UnreadableExport, match=r"they change by .* %, and no heart's do"):
        read("time,HF", [START_S + n for n in range(300)], power)
