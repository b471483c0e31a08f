import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from strapline.reading.formats import Export, UnreadableExport, read_export

Read = Callable[[Any], Export]
RATES = [60, 61, 62]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def read_value(value: Any) -> Export:
        path = tmp_path / "export.csv"
        path.write_text(value if isinstance(value, str) else json.dumps(value))
        return read_export(path)

    return read_value


def moments(*names: str) -> list[dict[str, Any]]:
    time, rate = names
    return [{time: f"2024-05-31T10:00:0{n}Z", rate: hr} for n, hr in enumerate(RATES)]


@pytest.mark.parametrize(
    "value",
    [
        moments("time", "heart_rate"),
        {"session": {"laps": [{"points": moments("timestamp", "hr")}]}},
        {"data": [{"dateTime": m["a"], "value": {"bpm": m["b"]}} for m in moments("a", "b")]},
        {"heart_rate": moments("t", "v")},
        {"heart_rate": {"values": [list(m.values()) for m in moments("a", "b")]}},
        {"times": [m["a"] for m in moments("a", "b")], "heart_rates": RATES},
        [
            {"type": "time", "data": [m["a"] for m in moments("a", "b")]},
            {"type": "heartrate", "data": RATES},
        ],
        {
            "time": {"data": [m["a"] for m in moments("a", "b")], "unit": "ISO"},
            "hr": {"data": RATES},
        },
        [["time", "hr"], *(list(m.values()) for m in moments("a", "b"))],
        {"hr": {m["a"]: m["b"] for m in moments("a", "b")}},
        "\n".join(json.dumps(m) for m in moments("time", "hr")),
        {"zones": [{"time": 5, "hr": 100}], "points": moments("time", "hr")},
    ],
)
def test_lists_of_many_shapes(read: Read, value: Any) -> None:
    export = read(value)
    assert (export.format, export.clock, export.remarks) == ("json", "utc", ())
    assert export.samples["heart_rate_bpm"].tolist() == RATES
    assert export.samples["time"][2].isoformat() == "2024-05-31T10:00:02+00:00"


@pytest.mark.parametrize(
    "value", [moments("a", "b"), [list(m.values()) for m in moments("a", "b")]]
)
def test_a_guess_from_values_is_told(read: Read, value: Any) -> None:
    export = read(value)
    assert export.samples["heart_rate_bpm"].tolist() == RATES
    assert "Only from their values" in export.remarks[0]


def test_epochs_and_times_elapsed(read: Read) -> None:
    epochs = read([{"ts": 1717149600000000 + n, "hr": 60} for n in range(3)])
    assert epochs.samples["time"][0].isoformat() == "2024-05-31T10:00:00+00:00"
    elapsed = read([{"offset_ms": 1000 * n, "hr": 60} for n in range(3)])
    assert elapsed.samples["elapsed_s"].tolist() == [0, 1, 2]


def test_rr_intervals(read: Read) -> None:
    assert read({"rr_intervals": [812, 790, 805]}).beats["rr_ms"].tolist() == [812, 790, 805]
    timed = read([{"time": n, "rr": 0.8} for n in range(3)])
    assert timed.beats["rr_ms"].tolist() == [800] * 3


def test_odd_values_are_missing(read: Read) -> None:
    odd = ["NaN", "Infinity", "-1e999", "1e999", "null", "true", '"-"', '"72 bpm"', "9" * 5000]
    text = ",".join(f'{{"time": {n}, "hr": {value}}}' for n, value in enumerate(odd))
    rates = read(f"[{text}]").samples["heart_rate_bpm"]
    assert rates.fillna(-1).tolist() == [-1, -1, -1, -1, -1, -1, -1, 72, -1]


@pytest.mark.parametrize(
    ("value", "reason"),
    [
        ({"time": 0, "hr": 60}, "No list in the JSON"),
        ([{"time": n, "power": 100} for n in range(9)], "No list"),
        ({"heart_rate": {"zones": [{"min": 50 * n, "minutes": n} for n in range(4)]}}, "No list"),
        ({"heart_rate": [{"time": n, "min": 50, "max": 60} for n in range(4)]}, "No list"),
        ([], "No list"),
        ('{"time": [0, 1], "hr": [60', "broken off"),
        ("[" * 100_000, "nested too deep"),
        ('{"a":' * 100_000, "nested too deep"),
        (f"[{'[0],' * 1_100_000}[0]]", "more JSON than any session"),
    ],
)
def test_what_cannot_be_used_gets_a_sentence(read: Read, value: Any, reason: str) -> None:
    with pytest.raises(UnreadableExport, match=reason) as refusal:
        read(value)
    assert str(refusal.value).endswith(".")


def test_lines_of_json_cut_short_give_what_came_before(read: Read) -> None:
    text = "\n".join(json.dumps(m) for m in moments("time", "hr"))
    export = read(text[:-5])
    assert len(export.samples) == 2
    assert export.broken_off == "The file breaks off after 2 records; what came before is used."


def minute(minute: int, base: int, count: int = 50) -> list[dict[str, Any]]:
    return [
        {"time": f"2024-05-31T10:{minute:02}:{n:02}Z", "hr": base + n % 7} for n in range(count)
    ]


def test_laps_are_one_recording_in_order_of_time(read: Read) -> None:
    laps = [{"points": minute(m, 90 + m, 50 + m)} for m in (1, 0, 2)]
    export = read({"laps": laps})
    assert (len(export.samples), export.streams, export.remarks) == (153, (), ())
    assert export.samples["time"].is_monotonic_increasing
    assert export.samples["ordinal"].tolist() == list(range(153))


def test_what_stands_under_keys_of_its_own_is_a_sensor_of_its_own(read: Read) -> None:
    export = read({"watch": minute(0, 120), "strap": minute(0, 90), "preview": minute(0, 120, 5)})
    assert [len(export.samples[export.samples["stream"] == n]) for n in (1, 2)] == [50, 50]
    assert [s.number for s in export.streams] == [1, 2]
    assert sorted(export.samples.groupby("stream")["heart_rate_bpm"].min()) == [90, 120]


def test_series_of_one_time_in_one_list_are_told(read: Read) -> None:
    export = read({"parts": [{"points": minute(0, 90)}, {"points": minute(0, 120, 40)}]})
    assert len(export.samples) == 50
    assert "1 other of the same time, which are not used" in export.remarks[0]


def test_a_count_of_beats_is_never_guessed_to_be_a_rate(read: Read) -> None:
    counted = read([{"t": n, "pulse_per_15s": 30 + n % 5} for n in range(40)])
    assert counted.samples["heart_rate_bpm"].iloc[0] == 120
    for name in ("hr_10s", "pulse smoothed", "HR (%)"):
        with pytest.raises(UnreadableExport):
            read([{"t": n, name: 70 + n % 5} for n in range(40)])


def test_a_time_that_no_key_tells_is_told_as_in_other_tables(read: Read) -> None:
    """Moments that rise but for one that cannot be read, before numbers that rise as well."""
    rows = [
        {"n": n, "when": f"2024-05-31T10:00:{n:02}Z" if n != 5 else "?", "hr": 60 + n % 3}
        for n in range(12)
    ]
    as_text = "n,when,hr\n" + "".join(f"{r['n']},{r['when']},{r['hr']}\n" for r in rows)
    for value in (rows, as_text):
        export = read(value)
        assert export.clock == "utc"
        assert export.samples["time"].notna().sum() == 11
        assert export.samples["heart_rate_bpm"].tolist() == [r["hr"] for r in rows]
