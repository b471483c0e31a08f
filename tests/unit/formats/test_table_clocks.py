"""Times of tables: their units, where they count from, and how a clock's readings are written."""

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from strapline.reading.formats import Export, UnreadableExport, read_export

Read = Callable[..., Export]

SECONDS = range(60)
BPM = [60 + n % 30 for n in SECONDS]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def read_rows(lines: str, *columns: Sequence[object]) -> Export:
        path = tmp_path / "export"
        rows = (";".join(map(str, row)) for row in zip(*columns, strict=True))
        path.write_text("\n".join([lines, *rows]) + "\n", encoding="utf-8")
        return read_export(path)

    return read_rows


def elapsed(export: Export) -> list[float]:
    assert export.clock == "elapsed"
    seconds = export.samples["elapsed_s"]
    return (seconds - seconds.iloc[0]).tolist()


@pytest.mark.parametrize(
    ("lines", "worth"),
    [
        ("time (1/100 s);hr", 100), ("Zeit (1/10 s);Puls (S/min)", 10), ("Zeit [0,1 s];hr", 10),
        ("uptime_ms;hr", 1000), ("uptime (ms);hr", 1000), ("ms since boot;hr", 1000),
        ("t (10 ms);hr", 100), ("time;hr\n0.1 s;1/min", 10), ("time;hr\n(ms);(bpm)", 1000),
        ("time (1/1024 s);hr", 1024), ("time (1/32768 s);hr", 32_768),
        ("time (h);hr", 1 / 3600), ("time;hr\nmin;1/min", 1 / 60),
    ],
)  # fmt: skip
@pytest.mark.parametrize("first_s", [0, 158_112, 15_811_200])
def test_times_are_in_the_unit_that_is_stated(
    read: Read, lines: str, worth: float, first_s: int
) -> None:
    """Also where a device counts for so long that it looks like a date."""
    export = read(lines, [f"{(first_s + n) * worth:.9f}" for n in SECONDS], BPM)
    assert elapsed(export) == pytest.approx(list(SECONDS), abs=0.01)
    assert not [said for said in export.remarks if "read" in said or "unit" in said]


def test_a_line_of_units_that_makes_a_column_something_else_is_heard(read: Read) -> None:
    with pytest.raises(UnreadableExport):
        read("time;hr\ns;%", SECONDS, BPM)
    assert elapsed(read("time;hr;note\ns;bpm;-", SECONDS, BPM, BPM)) == list(SECONDS)


@pytest.mark.parametrize(
    ("worth", "called"), [(1 / 60, "minutes"), (1 / 3600, "hours"), (1 / 86_400, "days")]
)
def test_rows_closer_than_heart_rates_come_count_a_longer_unit(
    read: Read, worth: float, called: str
) -> None:
    export = read("elapsed;hr", [f"{n * worth:.9f}" for n in SECONDS], BPM)
    assert elapsed(export) == pytest.approx(list(SECONDS), abs=0.01)
    assert f"by the steps between the rows they count {called}" in export.remarks[0]


def test_milliseconds_since_a_device_was_switched_on_are_no_dates(read: Read) -> None:
    export = read("timestamp;hr", [158_112_000 + 1000 * n for n in SECONDS], BPM)
    assert elapsed(export) == list(SECONDS)
    assert "they count milliseconds" in export.remarks[0]


@pytest.mark.parametrize(
    ("date", "heading", "worth"),
    [
        ("20260330", "seconds since midnight", 1),
        ("2026-03-30", "ms since midnight", 1000),
        ("30.03.2026", "Sekunden seit Mitternacht", 1),
        ("30/03/2026", "secondes depuis minuit", 1),
        ("2026-03-30", "od północy (s)", 1),
    ],
)
def test_seconds_since_midnight_are_times_of_the_day_beside_them(
    read: Read, date: str, heading: str, worth: int
) -> None:
    export = read(f"date;{heading};hr", [date] * 60, [(32_203 + n) * worth for n in SECONDS], BPM)
    assert export.clock == "local"
    assert export.samples["time"].iloc[5].isoformat() == "2026-03-30T08:56:48+00:00"


@pytest.mark.parametrize(
    ("written", "clock"),
    [
        ("30.03.26 08:56:{:02}", "local"), ("30/03/26 08:56:{:02}", "local"),
        ("03/30/26 08:56:{:02}", "local"), ("3/30/26, 8:56:{:02} AM", "local"),
    ],
)  # fmt: skip
def test_years_of_two_digits_are_of_our_century(read: Read, written: str, clock: str) -> None:
    export = read("Zeitpunkt;hr", [written.format(n) for n in SECONDS], BPM)
    assert (export.clock, export.samples["time"].iloc[-1].isoformat()) == (
        clock,
        "2026-03-30T08:56:59+00:00",
    )


@pytest.mark.parametrize(
    "written", ["8h56m{:02}s", "8 h 56 min {:02} s", "8.56.{:02}", "8.56.{:02} AM"]
)
def test_clocks_are_read_whatever_stands_between_their_digits(read: Read, written: str) -> None:
    readings = [written.format(n) for n in SECONDS]
    export = read("date;clock;hr", ["2026-03-30"] * 60, readings, BPM)
    assert export.samples["time"].iloc[7].isoformat() == "2026-03-30T08:56:07+00:00"


@pytest.mark.parametrize("form", ["{} min {:02} s", "PT{}M{}S", "{}m{}s", "{}'{:02}''"])
def test_minutes_and_seconds_with_their_letters_are_time_elapsed(read: Read, form: str) -> None:
    export = read("elapsed;hr", [form.format(n // 60, n % 60) for n in range(300)], BPM * 5)
    assert elapsed(export) == list(range(300))


def test_a_clock_that_no_heading_tells_stands_in_for_a_time_that_cannot_be_read(read: Read) -> None:
    clock = [f"00:{n // 60:02}:{n % 60:02}" for n in SECONDS]
    export = read("time;in motion;distance;hr", ["2026-03-30T08:00:00Z"] * 60, clock, SECONDS, BPM)
    assert export.samples["time"].iloc[9].isoformat() == "2026-03-30T08:00:09+00:00"
    assert "the second is taken, for its values are a clock's, and rise" in export.remarks[0]


UNITS = {0.1: "tenths of a second", 0.01: "hundredths of a second", 60: "minutes"}


@pytest.mark.parametrize("worth", sorted(UNITS))
def test_the_sum_of_intervals_tells_the_unit_of_their_times(read: Read, worth: float) -> None:
    rr_ms = [800 + 40 * np.sin(n / 4) for n in range(300)]
    ends = np.cumsum(rr_ms) / 1000
    export = read("elapsed;rr", [f"{end / worth:.6f}" for end in ends], rr_ms)
    assert export.beats["elapsed_s"].to_numpy() == pytest.approx(ends, abs=0.01)
    assert f"they count {UNITS[worth]}" in " ".join(export.remarks)


@pytest.mark.parametrize(
    "length",
    ["Dauer;0:10:00", "duration;600 s", "Duration: 10 min 00 s", "durée;10:00", "Dauer;600"],
)
def test_the_length_that_a_file_states_tells_the_unit_of_its_times(read: Read, length: str) -> None:
    export = read(f"{length}\n\nelapsed;hr", [10 * n for n in range(600)], BPM * 10)
    assert elapsed(export) == pytest.approx(list(range(600)))
    assert "by the length that the file states they count tenths of a second" in export.remarks[0]
    as_they_are = read(f"{length}\n\nelapsed;hr", range(0, 600, 10), BPM)
    assert elapsed(as_they_are) == list(range(0, 600, 10))
    assert as_they_are.unit_s == 1


@pytest.mark.parametrize(("rows_a_minute", "first"), [(60, 17), (12, 5), (60, 0)])
def test_rows_that_share_a_minute_are_spread_over_it(
    read: Read, rows_a_minute: int, first: int
) -> None:
    count = 10 * rows_a_minute
    step_s = 60 / rows_a_minute
    minutes = [(first + n) // rows_a_minute for n in range(count)]
    times = [f"2026-03-30T08:{minute:02}Z" for minute in minutes]
    export = read("time;hr", times, [70 + n % 9 for n in range(count)])
    began = pd.Timestamp("2026-03-30T08:00Z")
    seconds = (export.samples["time"] - began).dt.total_seconds().to_numpy()
    assert seconds == pytest.approx((first + np.arange(count)) * step_s)
    assert f"told every 60 s only, and {rows_a_minute} rows share each" in export.remarks[0]


def parts(n: int) -> tuple[int, int, int]:
    return 8 + n // 3600, n // 60 % 60, n % 60


@pytest.mark.parametrize(
    ("lines", "day"),
    [
        ("Year;Month;Day;Hour;Minute;Second;hr", (2026, 3, 30)),
        ("date;hours;minutes;seconds;hr", ("2026-03-30",)),
        ("Datum;Stunde;Minute;Sekunde;hr", ("30.03.2026",)),
        ("fecha;hora;min;s;hr", ("30.03.2026",)),
    ],
)
def test_parts_of_a_time_in_columns_of_their_own_are_joined(
    read: Read, lines: str, day: tuple[object, ...]
) -> None:
    rows = range(3500, 3900)
    days = [[part] * len(rows) for part in day]
    clocks = zip(*map(parts, rows), strict=True)
    export = read(lines, *days, *clocks, [70 + n % 9 for n in rows])
    assert export.clock == "local"
    assert export.samples["time"].iloc[0].isoformat() == "2026-03-30T08:58:20+00:00"
    assert export.samples["time"].iloc[-1].isoformat() == "2026-03-30T09:04:59+00:00"


def test_minutes_and_seconds_in_columns_of_their_own_are_time_elapsed(read: Read) -> None:
    rows = range(400)
    minutes, seconds = [n // 60 for n in rows], [n % 60 for n in rows]
    assert elapsed(read("min;sec;hr", minutes, seconds, [70 + n % 9 for n in rows])) == list(rows)


def test_seconds_that_begin_again_each_minute_are_no_time(read: Read) -> None:
    with pytest.raises(UnreadableExport, match="begin again 6 times, as seconds without their"):
        read("second;hr", [n % 60 for n in range(400)], [70 + n % 9 for n in range(400)])


def test_a_zone_in_a_column_of_its_own_is_heard(read: Read) -> None:
    local = [f"2026-03-30 04:56:{n:02}" for n in SECONDS]
    for zone in ("-04:00", "-0400"):
        export = read("time;utc offset;hr", local, [zone] * 60, BPM)
        assert export.clock == "utc"
        assert export.samples["time"].iloc[0].isoformat() == "2026-03-30T08:56:00+00:00"


@pytest.mark.parametrize("before_s", [11_644_473_600, 62_135_596_800])
def test_tenths_of_microseconds_since_long_ago_are_moments(read: Read, before_s: int) -> None:
    """Seconds from 1601, and from year 1, to 1970 by the Gregorian calendar."""
    export = read("timestamp;hr", [(1_774_861_003 + n + before_s) * 10**7 for n in SECONDS], BPM)
    assert export.clock == "utc"
    assert export.samples["time"].iloc[-1].isoformat() == "2026-03-30T08:57:42+00:00"


def test_minutes_and_seconds_with_a_point_between_them_are_told_by_their_digits(read: Read) -> None:
    rows = range(900)
    written = [f"{n // 60}.{n % 60:02}" for n in rows]
    export = read("time;hr", written, [70 + n % 9 for n in rows])
    assert elapsed(export) == list(rows)
    assert "never exceeds 59, so they are minutes and seconds" in export.remarks[0]
    minutes = read("time;hr", [f"{n / 60:.2f}" for n in rows], [70 + n % 9 for n in rows])
    assert elapsed(minutes)[-1] == pytest.approx(899, abs=0.5)


def test_a_clock_without_its_hours_goes_on_past_the_hour(read: Read) -> None:
    rows = range(3300, 7500)
    export = read(
        "t;hr", [f"{n // 60 % 60:02}:{n % 60:02}.0" for n in rows], [70 + n % 9 for n in rows]
    )
    assert elapsed(export) == [n - 3300 for n in rows]


def test_seconds_since_midnight_in_utc_are_certain(read: Read) -> None:
    seconds = [32_203 + n for n in SECONDS]
    export = read("utc date;utc seconds since midnight;hr", ["2026-03-30"] * 60, seconds, BPM)
    assert (export.clock, export.samples["time"].iloc[0].isoformat()) == (
        "utc",
        "2026-03-30T08:56:43+00:00",
    )


def test_a_start_in_two_columns_is_where_the_time_elapsed_counts_from(read: Read) -> None:
    day, clock = ["2026-03-30"] * 60, ["08:56:43"] * 60
    export = read("start date;start time;elapsed;hr", day, clock, SECONDS, BPM)
    assert export.clock == "local"
    assert export.samples["time"].iloc[-1].isoformat() == "2026-03-30T08:57:42+00:00"
