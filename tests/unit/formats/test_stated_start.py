"""A start that a file states apart from its rows, in whichever way and format."""

import json
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from strapline.ground.vocabulary import DateOrder
from strapline.reading.formats import Export, Hints, UndecidedExport, read_export

Read = Callable[[str], Export]

ROWS = "".join(f"{n},{70 + n % 9}\n" for n in range(30))
CLOCK_ROWS = "".join(f"0:00:{n:02};{70 + n % 9}\n" for n in range(30))
BEATS = "".join(f"{800 + n % 7}\n" for n in range(30))


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def read_text(text: str) -> Export:
        path = tmp_path / "export"
        path.write_text(text, encoding="utf-8")
        return read_export(path)

    return read_text


def began(export: Export) -> tuple[str, str]:
    first = export.samples["time"].iloc[0]
    return export.clock, f"{first:%Y-%m-%d %H:%M:%S}"


@pytest.mark.parametrize(
    ("above", "clock"),
    [
        ("# started 2026-03-09T10:00:00Z", "utc"),
        ("# Start time: 2026-03-09 11:00:00+01:00", "utc"),
        ("Start,2026-03-09T10:00:00Z", "utc"),
        ("// t0 = 1773050400", "utc"),
        ("# recorded at: Mon Mar 09 10:00:00 UTC 2026", "utc"),
        ("Datum;09.03.2026\nBeginn;10:00", "local"),
        ("Datum\t09.03.2026\nStartzeit\t10:00:00", "local"),
        ("Date: 2026-03-09\nStart: 10:00:00 AM", "local"),
        ("Beginn: 09.03.2026 10:00:00", "local"),
        ('"Début";"2026/03/09 10:00"', "local"),
        ("Name,Sport,Date,Start time,Duration\nA,RUN,2026-03-09,10:00:00,00:22:00", "local"),
        ("fecha;2026-03-09;\nhora de inicio;10:00:00;", "local"),
    ],
)
def test_times_elapsed_count_from_a_start_above_the_table(
    read: Read, above: str, clock: str
) -> None:
    for rows in (f"elapsed,hr\n{ROWS}", f"Zeit;Puls (S/min)\n{CLOCK_ROWS}"):
        export = read(f"{above}\n\n{rows}")
        assert began(export) == (clock, "2026-03-09 10:00:00")
        assert export.samples["elapsed_s"].isna().all()
        assert "The file states its start, 2026-03-09 10:00:00" in export.remarks[-1]


@pytest.mark.parametrize(
    "above",
    [
        "# exported 2026-03-10T08:00:00Z", "Date of birth;1980-01-01 00:00", "Start: home",
        "Duration: 00:22:00", "Datum;09.03.2026", "start 12:00",
    ],
)  # fmt: skip
def test_what_is_no_start_sets_no_time(read: Read, above: str) -> None:
    export = read(f"{above}\n\nelapsed,hr\n{ROWS}")
    assert export.clock == "elapsed"
    assert export.remarks == ()


def test_times_of_day_belong_to_the_date_above_the_table(read: Read) -> None:
    rows = "".join(f"10:00:{n:02};{70 + n % 9}\n" for n in range(30))
    for above in ("Datum;09.03.2026", "Datum;09.03.2026\nBeginn;10:00"):
        assert began(read(f"{above}\n\nZeit;Puls\n{rows}")) == ("local", "2026-03-09 10:00:00")
    bare = read(f"Zeit;Puls\n{rows}")
    assert (bare.clock, bare.times_of_day, bare.remarks) == ("elapsed", True, ())


def test_a_start_in_each_row_is_where_the_time_elapsed_counts_from(read: Read) -> None:
    for heading in ("start", "time", "Zeitpunkt"):
        rows = "".join(f"2026-03-09T10:00:00Z,{n},{70 + n % 9}\n" for n in range(30))
        export = read(f"{heading},elapsed,hr\n{rows}")
        assert began(export) == ("utc", "2026-03-09 10:00:00")
        assert export.samples["time"].iloc[-1] == pd.Timestamp("2026-03-09T10:00:29Z")
        assert "taken for the start from which the second counts" in export.remarks[0]


def test_intervals_without_times_count_from_a_start_as_well(read: Read) -> None:
    numbered = "".join(f"{n};{800 + n % 7}\n" for n in range(30))
    for text in (
        f"# started 2026-03-09T10:00:00Z\n{BEATS}",
        f"Start: 2026-03-09T10:00:00Z\nNr.;RR (ms)\n{numbered}",
    ):
        export = read(text)
        assert export.clock == "utc"
        assert export.beats["time"].iloc[0] == pd.Timestamp("2026-03-09T10:00:00.800Z")


def test_a_start_in_json_counts_where_it_is_the_only_one(read: Read) -> None:
    samples = [{"t": n, "hr": 70 + n % 9} for n in range(30)]
    one = {"startTime": "2026-03-09T10:00:00Z", "samples": samples}
    assert began(read(json.dumps(one))) == ("utc", "2026-03-09 10:00:00")
    other = {"startTime": "2026-03-10T10:00:00Z"}
    assert read(json.dumps([one, other])).clock == "elapsed"


def test_a_unit_above_the_table_is_that_of_its_heart_rates(read: Read) -> None:
    rows = "".join(f"{n},{35 + n % 9}\n" for n in range(30))
    for above in ("# HR unit: beats/30 s", "Einheit;Schläge/30 s", "Unit: 2/min"):
        export = read(f"{above}\n\nt,hr\n{rows}")
        assert export.samples["heart_rate_bpm"].iloc[0] == 70
        assert "taken times 2" in export.remarks[0]
    plain = read(f"Unit: bpm\nUnit of distance: km\n\nt,hr\n{rows.replace(',3', ',13')}")
    assert plain.remarks == ()


def test_a_clock_without_its_hours_begins_at_the_start_that_is_stated(read: Read) -> None:
    rows = "".join(f"31:{n:02}.0,{70 + n % 9}\n" for n in range(30))
    export = read(f"Start: 2026-03-09 10:31:00\n\ntime,hr\n{rows}")
    assert began(export) == ("local", "2026-03-09 10:31:00")
    later = read(f"Start: 2026-03-09 10:02:00\n\ntime,hr\n{rows}")
    assert began(later) == ("local", "2026-03-09 10:33:00")


def test_a_start_whose_day_and_month_cannot_be_told_is_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "export"
    path.write_text(f"Start: 03/04/2026 10:00\n\nelapsed,hr\n{ROWS}")
    with pytest.raises(UndecidedExport, match="day first or month first"):
        read_export(path)
    export = read_export(path, hints=Hints(dates=DateOrder.DAY_FIRST))
    assert began(export) == ("local", "2026-04-03 10:00:00")


def test_time_elapsed_for_more_than_an_hour_is_no_time_of_day(read: Read) -> None:
    rows = "".join(f"1:10:{n:02},{70 + n % 9}\n" for n in range(30))
    assert not read(f"elapsed,hr\n{rows}").times_of_day
    assert read(f"time,hr\n{rows}").times_of_day


def test_times_of_day_in_utc_are_certain_on_the_date_above_them(read: Read) -> None:
    rows = "".join(f"{36_000 + n},{70 + n % 9}\n" for n in range(30))
    export = read(f"Date: 2026-03-09\nutc seconds since midnight,hr\n{rows}")
    assert began(export) == ("utc", "2026-03-09 10:00:00")
