"""Tables in shapes that some app writes: what separates cells, what stands in one, what is left."""

import json

import pytest

from strapline.reading.formats import UnreadableExport, export_in
from strapline.reading.formats.export import Export
from strapline.reading.formats.headings import shipped

RATES = [100.0 + n % 7 for n in range(12)]
MOMENTS = [f"2024-05-31T10:00:{n:02}Z" for n in range(12)]


def table(headings: str, rows: list[str], **settings: list[str]) -> Export:
    words = shipped().and_more(settings)
    return export_in("\n".join([headings, *rows, ""]).encode(), words)


def rates(export: Export) -> list[float]:
    return export.samples["heart_rate_bpm"].dropna().tolist()


@pytest.mark.parametrize(
    ("headings", "row"),
    [
        ("time|heart rate (bpm)", "{}|{:.0f}"),
        ("| time | heart rate (bpm) |\n|---|---|", "| {} | {:.0f} |"),
        ("time heart_rate", "{} {:.0f}"),
        ("    time   heart_rate", "{}       {:.0f}"),
        ("Time of day (UTC)    Heart rate (bpm)", "{}      {:.0f}"),
    ],
)
def test_cells_between_strokes_or_spaces(headings: str, row: str) -> None:
    export = table(headings, [row.format(*one) for one in zip(MOMENTS, RATES, strict=True)])
    assert rates(export) == RATES
    assert export.samples["time"].dropna().size == len(RATES)


def test_a_sentence_is_no_row_of_headings() -> None:
    rows = [f"{time};{rate:.0f}" for time, rate in zip(MOMENTS, RATES, strict=True)]
    assert rates(table("heart rate over time\n2 sensors were used\n\ntime;pulse", rows)) == RATES
    with pytest.raises(UnreadableExport, match="not in a format"):
        table("time and pulse", ["were written by hand", "on that day"])


@pytest.mark.parametrize(
    ("time", "rate"),
    [("31-05-2024 10.00.{:02}", "{:.0f}"), ("2024-05-31T10:00:{:02}Z", "{:.0f} count/min")],
)
def test_points_in_times_and_units_in_cells(time: str, rate: str) -> None:
    rows = [f"{time.format(n)};{rate.format(value)}" for n, value in enumerate(RATES)]
    export = table("Tidspunkt;Puls", rows)
    assert rates(export) == RATES
    assert export.samples["time"][1].isoformat() == "2024-05-31T10:00:01+00:00"


def test_digits_of_full_width() -> None:
    wide = str.maketrans("0123456789", "".join(chr(0xFF10 + digit) for digit in range(10)))
    rows = [f"{t},{f'{r:.0f}'.translate(wide)}" for t, r in zip(MOMENTS, RATES, strict=True)]
    assert rates(table("日時,心拍数（拍／分）", rows)) == RATES


@pytest.mark.parametrize(
    "headings",
    ["Aika;Syke", "Čas;Tepová frekvence", "Zaman;Nabız (atım/dk)", "Время;Пульс (уд/мин)",
     "시간;심박수", "Tidspunkt;Hjertefrekvens"],
)  # fmt: skip
def test_words_of_more_languages(headings: str) -> None:
    rows = [f"{time};{rate:.0f}" for time, rate in zip(MOMENTS, RATES, strict=True)]
    assert rates(table(headings, rows)) == RATES


@pytest.mark.parametrize(("lasts_s", "stamp"), [(5, "start"), (0, None), (-5, None)])
def test_where_a_row_lies_in_its_time_is_what_the_file_states(
    lasts_s: int, stamp: str | None
) -> None:
    rows = [
        f"2024-05-31T10:{n:02}:10Z,2024-05-31T10:{n:02}:{10 + lasts_s:02}Z,60" for n in range(9)
    ]
    assert table("start time,end time,heart rate", rows).stamp == stamp


def test_an_end_that_shares_no_row_with_a_start_tells_nothing() -> None:
    rows = [f"{MOMENTS[n] if n % 2 else ''},{'' if n % 2 else MOMENTS[n]},60" for n in range(12)]
    assert table("start time,end time,heart rate", rows).stamp is None


def test_the_settings_tell_any_quantity_by_its_heading() -> None:
    rows = [f"{n},{rate:.0f},{36 + n % 2},{80 + n},{n}" for n, rate in enumerate(RATES)]
    headings = "t,hr,Wheel (km/h),Stroke,Way"
    assert table(headings, rows).unread == 3
    told = table(headings, rows, speed=["Wheel"], cadence=["Stroke"], distance=["Way"])
    assert told.unread == 0
    assert told.samples["speed_m_s"].tolist()[:2] == pytest.approx([10, 37 / 3.6])
    assert told.samples["cadence_per_min"].tolist()[:2] == [80, 81]
    only_way = table(headings, rows, distance=["Way"])
    assert only_way.samples["speed_m_s"].tolist() == [1.0] * len(RATES)


def test_a_heading_of_the_settings_means_nothing_else() -> None:
    rows = [f"{n},{rate:.0f},{n % 5}" for n, rate in enumerate(RATES)]
    assert "speed_m_s" in table("t,hr,pulse", rows, speed=["pulse"]).samples
    assert table("t,hr,pulse", rows, speed=["pulse"]).streams == ()


def test_what_is_known_to_be_of_no_use_is_not_counted_as_unread() -> None:
    rows = [f"{n},{rate:.0f},{n},{n},{n},north" for n, rate in enumerate(RATES)]
    assert table("t,hr,altitude,hr zone,mean speed,wind", rows).unread == 0


def test_hf_beside_a_heart_rate_is_none() -> None:
    rows = [f"{n},{rate:.0f},{120 + n % 9}" for n, rate in enumerate(RATES)]
    export = table("t,pulse,HF", rows)
    assert (rates(export), export.streams, export.unread) == (RATES, (), 1)
    assert len(table("t,pulse wrist,HF (S/min) Gurt", rows).streams) == 2


@pytest.mark.parametrize(
    "record",
    [
        lambda time, rate: {"at": {"utc": time}, "hr": {"value": rate, "unit": "bpm"}},
        lambda time, rate: {"time": time, "hr": {"value": rate}, "cad": {"value": 80}},
        lambda time, rate: {
            "type": "HeartRate",
            "startDate": time,
            "value": f"{rate:.0f} count/min",
        },
        lambda time, rate: {"metric": "heart_rate", "time": time, "value": rate},
    ],
)
def test_json_with_values_in_objects_or_called_by_a_word_beside(record) -> None:  # type: ignore[no-untyped-def]
    records = [record(time, rate) for time, rate in zip(MOMENTS, RATES, strict=True)]
    other = {"type": "Steps", "metric": "steps", "startDate": MOMENTS[0], "value": "7000"}
    has_types = not {"type", "metric"}.isdisjoint(records[0])
    assert rates(export_in(json.dumps([*records, *([other] * has_types)]).encode())) == RATES


@pytest.mark.parametrize(
    ("heading", "zone"),
    [("utc offset (min)", "120"), ("time zone", "2"), ("tz offset", "7200"), ("zone", "+02:00"),
     ("utc offset (h)", "2.0")],
)  # fmt: skip
def test_a_zone_in_a_column_is_in_any_unit(heading: str, zone: str) -> None:
    rows = [f"2024-05-31 12:00:{n:02},{zone},{rate:.0f}" for n, rate in enumerate(RATES)]
    export = table(f"time,{heading},hr", rows)
    assert (export.clock, export.samples["time"][0].isoformat()) == (
        "utc",
        "2024-05-31T10:00:00+00:00",
    )


def test_an_empty_column_hides_no_full_one() -> None:
    rows = [f"{n},,{rate:.0f}" for n, rate in enumerate(RATES)]
    assert rates(table("t,HR,HR2", rows)) == RATES


def test_rows_of_several_quantities_each_called_by_a_word() -> None:
    rows = [
        row
        for time, rate in zip(MOMENTS, RATES, strict=True)
        for row in (f"{time};heart_rate;{rate:.0f};bpm", f"{time};cadence;170;1/min")
    ]
    assert rates(table("time;quantity;value;unit", rows)) == RATES
    with pytest.raises(UnreadableExport, match="no heart rate column"):
        table("time;quantity;value", [f"{time};steps;90" for time in MOMENTS])


def test_heart_rates_that_only_rise_are_no_times() -> None:
    records = [{"hr": 90.0 + n, "note": "x"} for n in range(20)]
    with pytest.raises(UnreadableExport, match="No list in the JSON"):
        export_in(json.dumps(records).encode())
