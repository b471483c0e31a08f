"""Several heart rates in one file: each a recording of its own, one sensor told twice used once."""

from collections.abc import Sequence

import fit_bytes as fb
import numpy as np
import pytest

from strapline.reading.formats import export_in
from strapline.reading.formats.export import Export

START = 1_000_000_000
LONG = 120
WRIST = [120 + n % 7 for n in range(LONG)]
STRAP = [95 + n % 11 for n in range(LONG)]


def read_fit(*files: bytes) -> Export:
    return export_in(b"".join(files))


def records(rates: Sequence[int], start: int = START) -> bytes:
    return fb.records(*((start + n, rate, 255) for n, rate in enumerate(rates)))


def memory(rates: Sequence[int], start: int = START) -> bytes:
    """Heart-rate messages a second apart, each tied to the time."""
    tie = [(253, fb.UINT32, 1), (9, fb.UINT32, 1), (6, fb.UINT8, 1)]
    return fb.message(3, 132, tie, *((start + n, 1024 * n, r) for n, r in enumerate(rates)))


def rates(export: Export, stream: int) -> list[float]:
    own = export.samples[export.samples["stream"] == stream]
    return own["heart_rate_bpm"].dropna().tolist()


def test_a_straps_memory_beside_the_records_is_a_stream_of_its_own() -> None:
    export = read_fit(fb.fit_file(records(WRIST), memory(STRAP)))
    assert (rates(export, 1), rates(export, 2)) == (WRIST, STRAP)
    assert [stream.against for stream in export.streams] == [None, None]
    assert [stream.kind for stream in export.streams] == [None, "chest_strap"]
    assert "strap's memory" in export.streams[1].source
    assert len(export.samples) == 2 * LONG


@pytest.mark.parametrize("shift", [0, 2])
def test_one_sensor_told_twice_is_said(shift: int) -> None:
    near = [rate + (n % 3 - 1) for n, rate in enumerate(WRIST)]
    export = read_fit(fb.fit_file(records(WRIST), memory(near, START + shift)))
    assert export.streams[0].against is None
    assert "one sensor told twice" in (export.streams[1].against or "")


def test_a_memory_alone_is_told_to_be_a_straps() -> None:
    export = read_fit(fb.fit_file(records([255] * LONG), memory(STRAP)))
    assert rates(export, 1) == STRAP
    assert [(s.number, s.kind) for s in export.streams] == [(1, "chest_strap")]


INDEX = [(253, fb.UINT32, 1), (3, fb.UINT8, 1), (62, fb.UINT8, 1)]
DEVICE = [(0, fb.UINT8, 1), (1, fb.UINT8, 1), (25, fb.ENUM, 1)]


def test_records_that_name_two_sensors_are_two_streams() -> None:
    rows = [
        row for n in range(LONG) for row in ((START + n, WRIST[n], 1), (START + n, STRAP[n], 2))
    ]
    devices = fb.message(2, 23, DEVICE, (1, 10, 5), (2, 120, 1))
    export = read_fit(fb.fit_file(devices, fb.message(0, 20, INDEX, *rows)))
    assert (rates(export, 1), rates(export, 2)) == (WRIST, STRAP)
    assert export.streams[0].kind == "wrist"
    assert "connected over ANT+" in export.streams[1].source


def test_chained_files_of_the_same_time_are_two_streams_and_of_others_one() -> None:
    one, other = fb.fit_file(records(WRIST)), fb.fit_file(records(STRAP))
    export = read_fit(one, other)
    assert (rates(export, 1), rates(export, 2)) == (WRIST, STRAP)
    later = read_fit(one, fb.fit_file(records(STRAP, START + LONG)))
    assert later.streams == ()
    assert rates(later, 1) == WRIST + STRAP


def developer(name: bytes, unit: bytes, own: list[int], others: list[int]) -> bytes:
    """Records with a heart rate of their own, and a field an app called `name`."""
    fields = [*((n, fb.UINT8, 1) for n in (0, 1, 2, 15)), (3, fb.STRING, 16), (8, fb.STRING, 4)]
    told = fb.message(0, 206, fields, (0, 7, fb.UINT8, 255, name, unit))
    plain = bytearray(fb.definition(1, 20, [(253, fb.UINT32, 1), (3, fb.UINT8, 1)]))
    plain[0] |= 0x20
    rows = (
        bytes([1]) + (START + n).to_bytes(4, "little") + bytes([rate, others[n]])
        for n, rate in enumerate(own)
    )
    told = fb.message(0, 207, [(3, fb.UINT8, 1)], (0,)) + told
    return told + plain + b"\x01\x07\x01\x00" + b"".join(rows)


def test_an_apps_field_that_repeats_the_records_is_read_once() -> None:
    export = read_fit(fb.fit_file(developer(b"Heart Rate", b"bpm", WRIST, WRIST)))
    assert export.streams == ()
    assert rates(export, 1) == WRIST
    assert "repeats their heart rate" in export.remarks[0]


@pytest.mark.parametrize(
    ("name", "unit", "count"),
    [(b"Strap HR", b"bpm", 2), (b"HRSS/Hr", b"", 0), (b"HR 2", b"%", 0), (b"heart_rate", b"", 2)],
)
def test_an_apps_field_is_a_stream_if_it_is_a_heart_rate(
    name: bytes, unit: bytes, count: int
) -> None:
    export = read_fit(fb.fit_file(developer(name, unit, WRIST, STRAP)))
    assert len(export.streams) == count
    assert rates(export, 1) == WRIST


def test_rr_intervals_go_to_the_stream_they_agree_with() -> None:
    hrv = [(0, fb.UINT16, 1)]
    body = b"".join(
        fb.records((START + n, WRIST[n], 255)) + fb.message(4, 78, hrv, (60_000 // 99,))
        for n in range(LONG)
    )
    export = read_fit(fb.fit_file(body, memory([99] * LONG)))
    assert set(export.beats["stream"]) == {2}


def uneven(count: int = 900) -> np.ndarray:
    noise = np.random.default_rng(5).normal(0, 1, count)
    steps = 120 + 25 * np.sign(np.sin(np.arange(count) / 60))
    return np.round(steps + np.convolve(noise, np.ones(5) / 2, "same"))


def running(rate: np.ndarray, span: int, after: int) -> np.ndarray:
    ends = np.arange(rate.size) + after + 1
    return np.array([rate[max(0, end - span) : end].mean() for end in ends])


def following(rate: np.ndarray, share: float) -> np.ndarray:
    made = [rate[0]]
    for one in rate[1:]:
        made.append(made[-1] + share * (one - made[-1]))
    return np.array(made)


AVERAGES = {
    "which it follows evenly": following(uneven(), 0.07),
    "its mean over 30 s": running(uneven(), 30, 0),
    "its mean over 21 s": running(uneven(), 21, 10),
    "its mean so far": np.cumsum(uneven()) / np.arange(1, 901),
    "its highest so far": np.maximum.accumulate(uneven()),
}


@pytest.mark.parametrize("made", sorted(AVERAGES))
@pytest.mark.parametrize("is_first", [True, False])
def test_what_is_made_of_another_heart_rate_is_no_sensor(made: str, is_first: bool) -> None:
    average, rate = np.round(AVERAGES[made]), uneven()
    columns = (average, rate) if is_first else (rate, average)
    rows = "".join(
        f"{n},{one:g},{two:g}\n" for n, (one, two) in enumerate(zip(*columns, strict=True))
    )
    export = export_in(f"time,hr a,hr b\n{rows}".encode())
    against = [stream.against for stream in export.streams]
    assert against[1 if is_first else 0] is None
    assert f"of its file, {made}" in (against[0 if is_first else 1] or "")


def test_another_sensor_that_is_slow_is_no_average() -> None:
    rate = uneven()
    slow = np.round(running(rate, 30, 0) + 3 * np.sin(np.arange(rate.size) / 11))
    rows = "".join(
        f"{n},{one:g},{two:g}\n" for n, (one, two) in enumerate(zip(rate, slow, strict=True))
    )
    export = export_in(f"time,hr a,hr b\n{rows}".encode())
    assert [stream.against for stream in export.streams] == [None, None]


def test_a_wrist_that_follows_the_chest_closely_is_a_sensor_of_its_own() -> None:
    chest = [120 + 30 * np.sin(n / 40) for n in range(600)]
    late = [chest[0]]
    for rate in chest[1:]:
        late.append(late[-1] + (rate - late[-1]) / 3)

    def against(headings: str, wrist: list[float]) -> list[bool]:
        rows = (f"{n},{a:.1f},{b:.1f}" for n, (a, b) in enumerate(zip(chest, wrist, strict=True)))
        export = export_in("\n".join([headings, *rows]).encode())
        return [stream.against is not None for stream in export.streams]

    assert against("t,HR chest,HR wrist", late) == [False, False]
    assert against("t,HR 1,HR 2", late) == [False, True]
    assert against("t,HR chest,HR wrist", chest) == [False, True]
