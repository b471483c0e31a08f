from collections.abc import Callable
from pathlib import Path

import pytest

from strapline.ground.vocabulary import DateOrder
from strapline.reading.formats import Export, Hints, UnreadableExport, read_export

Read = Callable[..., Export]

FIRST = "2024-05-31T10:00:00+00:00"


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def read_text(text: str, encoding: str = "utf-8", hints: Hints | None = None) -> Export:
        path = tmp_path / "session.fit"  # the name says nothing
        path.write_bytes(text.encode(encoding))
        return read_export(path, hints=hints)

    return read_text


def column(export: Export, name: str) -> list[float]:
    return export.samples[name].fillna(-1).tolist()


def stream(export: Export, number: int) -> list[float]:
    own = export.samples[export.samples["stream"] == number]
    return own["heart_rate_bpm"].fillna(-1).tolist()


def times(export: Export) -> list[str]:
    return [time.isoformat() for time in export.samples["time"]]


@pytest.mark.parametrize(
    ("written", "clock"),
    [
        ("2024-05-31T10:00:00Z", "utc"),
        ("2024-05-31T12:00:00+02:00", "utc"),
        ("2024-05-31 12:00:00 +0200", "utc"),
        ("2024-05-31 10:00:00 UTC", "utc"),
        ("31.05.2024 12:00:00 MESZ", "utc"),
        ("2024-05-31 12:00:00 CEST", "utc"),
        ("1717149600", "utc"),
        ("1717149600.0", "utc"),
        ("1717149600000", "utc"),
        ("1717149600000000", "utc"),
        ("1717149600000000000", "utc"),
        ("2024-05-31T10:00:00", "local"),
        ("2024-05-31 10:00", "local"),
        ("2024/05/31 10:00:00.000", "local"),
        ("31.05.2024 10:00:00", "local"),
        ("31/05/2024 10:00:00", "local"),
        ("05/31/2024 10:00:00 AM", "local"),
    ],
)
def test_moments_in_many_ways(read: Read, written: str, clock: str) -> None:
    export = read(f"time,hr\n{written},60\n")
    assert (export.format, export.clock) == ("csv", clock)
    assert times(export) == [FIRST]
    assert export.samples["elapsed_s"].isna().all()


def test_times_keep_their_milliseconds(read: Read) -> None:
    export = read("time,hr\n2024-05-31T10:00:00.1239Z,60\n2024-05-31T10:00:01Z,60\n")
    assert times(export)[0] == "2024-05-31T10:00:00.124000+00:00"


@pytest.mark.parametrize(
    ("heading", "cells", "expected"),
    [
        ("elapsed", ["0", "1.5"], [0, 1.5]),
        ("Seconds", ["10", "11"], [10, 11]),
        ("t", ["0:00", "1:05"], [0, 65]),
        ("Time", ["00:00:01", "1:00:01.5"], [1, 3601.5]),
        ("elapsed (ms)", ["0", "1500"], [0, 1.5]),
    ],
)
def test_elapsed_times(read: Read, heading: str, cells: list[str], expected: list[float]) -> None:
    export = read(f"{heading},hr\n{cells[0]},60\n{cells[1]},61\n")
    assert export.clock == "elapsed"
    assert column(export, "elapsed_s") == expected
    assert export.samples["time"].isna().all()


def test_times_of_day_without_a_date_are_told(read: Read) -> None:
    export = read("time,hr\n10:00:00,60\n10:00:01,61\n")
    assert (export.clock, export.times_of_day) == ("elapsed", True)


def test_a_moment_is_preferred_to_a_time_elapsed(read: Read) -> None:
    export = read("seconds,date,time,hr\n0,31.05.2024,10:00:00,60\n")
    assert export.clock == "local"
    assert times(export) == [FIRST]


def test_a_date_alone_says_not_when(read: Read) -> None:
    export = read("date,seconds,hr\n2024-05-31,5,60\n")
    assert (export.clock, column(export, "elapsed_s")) == ("elapsed", [5])


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "latin-1"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_encodings_delimiters_and_preambles(read: Read, encoding: str, end: str) -> None:
    lines = [
        "Exportiert für niemanden",
        "",
        "Datum;Dauer;Mittel",
        "31.05.2024;10;60",
        "Datum;Zeit;Herzfrequenz (bpm);Trittfrequenz",
        "31.05.2024;10:00:00;72,5;80",
        "",
        '"31.05.2024";"10:00:01";"-";""',
    ]
    export = read(end.join(lines), encoding)
    assert column(export, "heart_rate_bpm") == [72.5, -1]
    assert column(export, "cadence_per_min") == [80, -1]
    assert times(export) == [FIRST, "2024-05-31T10:00:01+00:00"]


@pytest.mark.parametrize("heading", ["hr", "Heart Rate (bpm)", "heart_rate", "HeartRate", "PULSE"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_headings_in_many_ways(read: Read, heading: str, delimiter: str) -> None:
    export = read(f"lat{delimiter}time{delimiter}{heading}\n12.345{delimiter}0{delimiter}60\n")
    assert column(export, "heart_rate_bpm") == [60]
    assert "12.345" not in repr(export)


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("0", 0), ("-5", -5), ("1e300", 1e300), ("1e999", -1), ("inf", -1), ("NaN", -1),
        ("-", -1), ("", -1), ("null", -1), ("1_0", -1), ("sixty", -1), ("0x10", -1),
    ],
)  # fmt: skip
def test_values_pass_as_stated_or_are_missing(read: Read, cell: str, expected: float) -> None:
    export = read(f"time,hr\n0,{cell}\n1,60\n")
    assert column(export, "heart_rate_bpm") == [expected, 60]


def test_every_row_is_a_sample_and_odd_ones_are_told(read: Read) -> None:
    export = read(
        "time,hr\n2024-05-31T10:00:00Z,60\nAverage,61\n2024-05-31T10:00:02Z\n"
        "2024-05-31T10:00:03Z,62,5\n"
    )
    assert column(export, "heart_rate_bpm") == [60, 61, -1, 62]
    assert export.samples["time"].isna().tolist() == [False, True, False, False]
    assert export.remarks == (
        "Cells beyond the headings: in 1 row; decimal commas may be the reason.",
        "No time that can be read: in 1 row.",
    )


def test_a_column_of_rr_intervals_gives_beats(read: Read) -> None:
    export = read("time,hr,RR (ms)\n1717149600,60,812\n1717149601,61,\n1717149602,62,800\n")
    assert export.beats["rr_ms"].tolist() == [812, 800]
    assert export.beats["elapsed_s"].tolist() == [0.812, 1.612]
    assert export.beats["time"].tolist() == export.samples["time"][[0, 2]].tolist()
    alone = read("time,rr_ms\n1717149600,0.812\n")
    assert alone.beats["rr_ms"].tolist() == [812]
    assert alone.samples.empty


@pytest.mark.parametrize(
    ("dates", "first"),
    [
        (["03/04/2024", "13/04/2024"], "2024-04-03"),
        (["03/04/2024", "03/14/2024"], "2024-03-04"),
        (["04/04/2024"], "2024-04-04"),
        (["03.04.2024"], "2024-04-03"),
    ],
)
def test_day_and_month_are_told_from_all_dates(read: Read, dates: list[str], first: str) -> None:
    rows = "".join(f"{date} 10:00,60\n" for date in dates)
    assert times(read(f"time,hr\n{rows}"))[0].startswith(first)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("time,hr\n03/04/2024 10:00,60\n", "day first or month first"),
        ("time,hr\n2024-05-31T10:00:00,60\n2024-05-31T10:00:01Z,60\n", "some have none"),
        ("time,speed\n0,3.5\n", "no heart rate column .* 2 headings in line 1 it knows those of"),
        ("hr,speed\n60,3.5\n", "no time column Strapline knows; .* it knows those of heart rates"),
        (
            "a,speed\n60,3.5\n",
            "no time and no heart rate column .* it knows none. Type `strapline headings`",
        ),
        ("date,speed\n03/04/2024 10:00,3.5\n", "no heart rate .* day first or month first"),
        ("1,2,3\n4,5,6\n7,8,9\n", "a table of 3 columns without headings"),
        ("a,b\n1,60\nTime 4,9\n", "2 headings in line 1"),
        (
            "Type,Local Number,Message,Field 1,Value 1,Units 1\nData,0,record,x,1,s\n",
            "FIT file turned into text; give the .fit",
        ),
        ("time,hr\n", "holds no records"),
        ("time,hr\nsoon,60\n", "no times"),
        ("time,hr\n1e300Z,60\n", "no times"),
        ("just words", "not in a format"),
        ("1,2\n3,4\n", "not in a format"),
    ],
)
def test_what_cannot_be_used_gets_a_sentence(read: Read, text: str, reason: str) -> None:
    with pytest.raises(UnreadableExport, match=reason) as refusal:
        read(text)
    assert str(refusal.value).endswith(".")


@pytest.mark.parametrize(
    ("written", "first"),
    [
        (["Sun Sep 25 06:00:22 PDT 2011"], "2011-09-25T13:00:22+00:00"),
        (["2011-25-09 06:00:22", "2011-05-09 06:00:22"], "2011-09-25T06:00:22+00:00"),
        (["2011-05-09 06:00:22", "2011-25-09 06:00:22"], "2011-09-05T06:00:22+00:00"),
        (["Sep 25, 2011 at 6:00:22 PM"], "2011-09-25T18:00:22+00:00"),
        (["25. März 2011 06:00"], "2011-03-25T06:00:00+00:00"),
    ],
)
def test_dates_as_programs_write_them(read: Read, written: list[str], first: str) -> None:
    rows = "".join(f'"{moment}",60\n' for moment in written)
    assert times(read(f"time,hr\n{rows}"))[0] == first


def test_dates_without_a_year_are_told(read: Read) -> None:
    rows = "".join(f"09-25,06:00:{second},60\n" for second in range(10, 40))
    export = read(f"mm-dd,hh:mm:ss,hr\n{rows}")
    assert (export.clock, column(export, "elapsed_s")[1]) == ("elapsed", 21_611)
    assert "dates have no year" in export.remarks[-1]


@pytest.mark.parametrize("heading", ["H:", "when", "stamp (x)"])
def test_moments_that_no_heading_tells_are_told_by_their_values(read: Read, heading: str) -> None:
    rows = "".join(f"{n % 3},{1717149600000 + 1000 * n},{60 + n}\n" for n in range(20))
    export = read(f"speed,{heading},hr\n{rows}")
    assert times(export)[0] == FIRST
    assert "the second is taken" in export.remarks[0]


@pytest.mark.parametrize("delimiter", [" ", ",", "\t", "  "])
def test_two_columns_without_headings_are_times_and_intervals(read: Read, delimiter: str) -> None:
    rr_ms = [800 + 20 * (n % 5) + n % 3 for n in range(100)]
    ends = [sum(rr_ms[: n + 1]) / 1000 for n in range(100)]
    rows = zip(ends, rr_ms, strict=True)
    export = read("".join(f"{end}{delimiter}{rr}\n" for end, rr in rows))
    assert export.beats["rr_ms"].tolist() == rr_ms
    assert export.beats["elapsed_s"].tolist() == pytest.approx(ends)
    assert "no headings" in export.remarks[0]


def test_a_row_of_data_is_no_row_of_headings(read: Read) -> None:
    rows = "".join(f"HeartRate,S,2024-05-31 10:00:{n:02},{60 + n}\n" for n in range(30))
    with pytest.raises(UnreadableExport, match="headings in line 1"):
        read(f"kind,made by,when,value\n{rows}")


def test_rr_intervals_need_no_times(read: Read) -> None:
    rr_ms = [800 + n % 9 for n in range(50)]
    export = read("rr_ms,quality\n" + "".join(f"{rr},1\n" for rr in rr_ms))
    assert (export.clock, export.beats["rr_ms"].tolist()) == ("elapsed", rr_ms)


def test_long_lists_of_headings_are_cut(read: Read) -> None:
    with pytest.raises(UnreadableExport) as refusal:
        read(",".join(f"column {letter * 9}" for letter in "abcdefghijklmnop" * 9) + "\n")
    assert len(str(refusal.value)) < 400


def test_a_cell_without_end_breaks_the_table_off(read: Read) -> None:
    export = read('time,hr\n0,60\n1,"' + "6" * 200_000)
    assert column(export, "heart_rate_bpm") == [60]
    assert export.broken_off == "The file breaks off after 1 record; what came before is used."


def test_times_beyond_all_calendars_are_missing(read: Read) -> None:
    export = read("time,hr\n1717149600,60\n1e300,61\n-1e300,62\n")
    assert export.samples["time"].isna().tolist() == [False, True, True]


@pytest.mark.parametrize(("dates", "month"), [("day_first", 4), ("month_first", 3)])
def test_the_tester_can_say_whether_the_day_comes_first(
    read: Read, dates: DateOrder, month: int
) -> None:
    export = read("time,hr\n03/04/2024 10:00,60\n", hints=Hints(dates=dates))
    assert export.samples["time"][0].month == month
    sure = read("time,hr\n03/14/2024 10:00,60\n", hints=Hints(dates="day_first"))
    assert sure.samples["time"][0].month == 3  # the file's own word goes before


@pytest.mark.parametrize(
    ("written", "hour"),
    [("12:00:00 AM", 0), ("1:00:00 pm", 13), ("12:00:00 p. m.", 12), ("11:00:00\u202fPM", 23)],
)
def test_clocks_of_twelve_hours(read: Read, written: str, hour: int) -> None:
    dated = read(f"date,time,hr\n2024-05-31,{written},60\n")
    assert (dated.clock, dated.samples["time"][0].hour) == ("local", hour)
    assert column(read(f"time,hr\n{written},60\n"), "elapsed_s") == [3600 * hour]


def test_a_night_goes_past_midnight(read: Read) -> None:
    export = read("time,hr\n23:59:59,60\n00:00:00,61\n00:00:01,62\n")
    assert column(export, "elapsed_s") == [86_399, 86_400, 86_401]


def test_headings_tell_units_and_utc(read: Read) -> None:
    assert column(read("time (min),hr\n0,60\n1.5,61\n"), "elapsed_s") == [0, 90]
    assert column(read("timestamp_ms,hr\n0,60\n1500,61\n"), "elapsed_s") == [0, 1.5]
    assert read("Time (UTC),hr\n2024-05-31 10:00:00,60\n").clock == "utc"


def test_of_several_times_the_most_certain_is_used(read: Read) -> None:
    export = read(
        "local time,t,utc,hr\n2024-05-31 12:00:00,0,2024-05-31 10:00:00,60\n"
        "2024-05-31 12:00:01,1,2024-05-31 10:00:01,60\n"
    )
    assert (export.clock, times(export)[0]) == ("utc", FIRST)
    export = read("timestamp,local time,hr\n0,2024-05-31 10:00:00,60\n")
    assert (export.clock, times(export)[0]) == ("local", FIRST)


def test_the_offset_from_utc_is_told(read: Read) -> None:
    row = "time,hr\n2024-05-31T12:00:00{},60\n"
    assert read(row.format("+02:00")).utc_offset_s == 7200
    assert read(row.format("-0330")).utc_offset_s == -12_600
    assert read(row.format("Z")).utc_offset_s is None
    assert read(row.format("")).utc_offset_s is None


def test_each_column_of_heart_rates_is_a_stream_and_the_most_complete_the_first(
    read: Read,
) -> None:
    text = "time,HR left,HR right,HR spare\n0,60,70,\n1,,71,\n2,62,72,\n"
    export = read(text)
    assert stream(export, 1) == [70, 71, 72]
    assert stream(export, 2) == [60, -1, 62]
    assert export.remarks == ()
    assert [s.source for s in export.streams] == [
        "the first of its 2 columns of heart rates (right)",
        "the second of its 2 columns of heart rates (left)",
    ]


@pytest.mark.parametrize(
    ("asked", "rates"), [("hr left", [60, -1]), (" HR right ", [70, 71]), ("Sensor B", [80, 81])]
)
def test_the_tester_can_say_which_column_is_the_heart_rate(
    read: Read, asked: str, rates: list[float]
) -> None:
    text = "time,HR left,HR right,Sensor B\n0,60,70,80\n1,,71,81\n"
    export = read(text, hints=Hints(heart_rate=asked))
    assert column(export, "heart_rate_bpm") == rates
    assert export.remarks == ()


@pytest.mark.parametrize(
    ("headings", "others"),
    [("time,HR left,HR right", "and 2 other columns of"), ("time,rr", "and no other column of")],
)
def test_a_column_that_is_asked_for_and_not_there_is_not_guessed(
    read: Read, headings: str, others: str
) -> None:
    row = ",".join(["1", *["60"] * headings.count(",")])
    with pytest.raises(UnreadableExport, match="no column headed 'HR chest'") as refusal:
        read(f"{headings}\n{row}\n", hints=Hints(heart_rate="HR chest"))
    assert others in str(refusal.value)


def test_a_plain_heading_goes_before_a_fuller_one(read: Read) -> None:
    export = read("time,hr,hr filtered\n0,60,70\n1,,71\n")
    assert stream(export, 1) == [60, -1]
    empty = read("time,hr,hr filtered\n0,,70\n1,,71\n")
    assert column(empty, "heart_rate_bpm") == [70, 71]


@pytest.mark.parametrize("cell", ["—", "–", "--", "--:--", "…", "n/a", " ", "null"])
def test_dashes_and_blanks_are_missing(read: Read, cell: str) -> None:
    assert column(read(f"time,hr\n0,{cell}\n1,60\n"), "heart_rate_bpm") == [-1, 60]


def test_units_in_cells_are_forgiven(read: Read) -> None:
    for first in ("0 s", "0.5 s", "1s"):
        export = read(f"time,hr\n{first},72 bpm\n2 s,73bpm\n")
        assert column(export, "heart_rate_bpm") == [72, 73]
        assert column(export, "elapsed_s")[1] == 2


def test_what_a_refusal_quotes_can_be_printed(read: Read) -> None:
    with pytest.raises(UnreadableExport) as refusal:
        read("time,\u202espeed\x1b[0m\n0,3.5\n")
    assert str(refusal.value).isprintable()


def test_words_are_found_in_a_file_cut_within_a_letter(tmp_path: Path) -> None:
    path = tmp_path / "export"
    path.write_bytes("heure;fréquence cardiaque\n0;60\n1;61é".encode()[:-1])
    assert len(read_export(path).samples) == 2


def test_a_column_without_one_value_is_no_recording(read: Read) -> None:
    with pytest.raises(UnreadableExport, match="holds no records"):
        read("time,rr\n0,\n")
