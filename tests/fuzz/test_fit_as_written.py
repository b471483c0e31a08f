"""FIT files of every make: several sensors, chained files, short and compressed times, developers'
fields, a strap's memory in packed ticks; what is read equals what was written."""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from strapline.reading.formats import export_in
from strapline.reading.formats.export import Export
from unit.formats import fit_bytes as fb

_SOME = settings(
    max_examples=120,
    derandomize=True,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
START = 1_000_000_000
TIE = [(253, fb.UINT32, 1), (0, fb.UINT16, 1), (9, fb.UINT32, 1), (6, fb.UINT8, 1)]
PACKED = [(6, fb.UINT8, 4), (10, fb.BYTE, 6)]
NAMED = [*((n, fb.UINT8, 1) for n in (0, 1, 2, 15)), (3, fb.STRING, 16), (8, fb.STRING, 4)]
BARE = [(3, fb.UINT8, 1)]


@dataclass(frozen=True)
class Told:
    """Seconds of the FIT epoch and bpm, of one sensor."""

    seconds: np.ndarray
    rates: np.ndarray


def sensor(draw: st.DrawFn, base: int, start: int, count: int) -> Told:
    noise = np.random.default_rng(draw(st.integers(0, 99)))
    rates = base + 12 * np.sin(np.arange(count) / 7) + noise.normal(0, 1, count)
    return Told(start + np.arange(count), np.round(rates).astype(int))


def plain(told: Told) -> bytes:
    return fb.records(
        *((int(s), int(r), 255) for s, r in zip(told.seconds, told.rates, strict=True))
    )


def compressed(told: Told) -> bytes:
    """The first time whole, in an event; all others in five bits of the records' headers."""
    event = fb.message(2, 21, [(253, fb.UINT32, 1), (0, fb.ENUM, 1)], (int(told.seconds[0]), 0))
    rows = [
        fb.data(1, BARE, int(rate), header=0x80 | 1 << 5 | int(second) & 31)
        for second, rate in zip(told.seconds, told.rates, strict=True)
    ]
    return event + fb.definition(1, 20, BARE) + b"".join(rows)


def monitored(told: Told) -> bytes:
    whole, short = [(253, fb.UINT32, 1)], [(26, fb.UINT16, 1), (27, fb.UINT8, 1)]
    rows = [(int(s) & 0xFFFF, int(r)) for s, r in zip(told.seconds, told.rates, strict=True)]
    return fb.message(0, 103, whole, (int(told.seconds[0]) - 1,)) + fb.message(1, 55, short, *rows)


def by_an_app(own: Told, other: Told) -> bytes:
    """Records with a rate of their own and one in a field that an app added."""
    told = fb.message(0, 207, [(3, fb.UINT8, 1)], (0,))
    told += fb.message(0, 206, NAMED, (0, 7, fb.UINT8, 255, b"Strap HR", b"bpm"))
    definition = bytearray(fb.definition(1, 20, [(253, fb.UINT32, 1), (3, fb.UINT8, 1)]))
    definition[0] |= 0x20
    rows = (
        bytes([1]) + int(second).to_bytes(4, "little") + bytes([int(rate), int(app)])
        for second, rate, app in zip(own.seconds, own.rates, other.rates, strict=True)
    )
    return told + bytes(definition) + b"\x01\x07\x01\x00" + b"".join(rows)


def memory(told: Told) -> bytes:
    """A strap's memory: one message that ties ticks to the time, and then four beats a message."""
    ticks = [1024 * n + 500 for n in range(len(told.rates))]
    content = fb.message(3, 132, TIE, (int(told.seconds[0]), 0, ticks[0], int(told.rates[0])))
    content += fb.definition(4, 132, PACKED)
    for start in range(1, len(ticks) - 3, 4):
        four = ticks[start : start + 4]
        whole = sum((tick & 4095) << 12 * place for place, tick in enumerate(four))
        rates = [int(rate) for rate in told.rates[start : start + 4]]
        content += fb.data(4, PACKED, *rates, *whole.to_bytes(6, "little"))
    return content


def wholly(told: Told) -> Told:
    """As far as groups of four after the first reach."""
    count = 1 + (len(told.rates) - 1) // 4 * 4
    return Told(told.seconds[:count], told.rates[:count])


@st.composite
def files(draw: st.DrawFn) -> tuple[bytes, list[Told]]:
    count = draw(st.integers(40, 120))
    wrist, strap = sensor(draw, 120, START, count), sensor(draw, 95, START, count)
    match draw(st.integers(0, 6)):
        case 0:
            return fb.fit_file(plain(wrist), memory(strap)), [wrist, wholly(strap)]
        case 1:
            return fb.fit_file(compressed(wrist), memory(strap)), [wrist, wholly(strap)]
        case 2:
            return fb.fit_file(by_an_app(wrist, strap)), [wrist, strap]
        case 3:
            return fb.fit_file(plain(wrist)) + fb.fit_file(compressed(strap)), [wrist, strap]
        case 4:
            later = sensor(draw, 110, START + count + draw(st.integers(0, 9999)), count)
            both = Told(
                np.concatenate([wrist.seconds, later.seconds]),
                np.concatenate([wrist.rates, later.rates]),
            )
            return fb.fit_file(plain(wrist)) + fb.fit_file(plain(later)), [both]
        case 5:
            return fb.fit_file(monitored(wrist), memory(strap)), [wrist, wholly(strap)]
        case _:
            bare = Told(wrist.seconds, np.full(count, 255))
            return fb.fit_file(plain(bare), memory(strap)), [wholly(strap)]


@_SOME
@given(made=files())
def test_what_is_read_is_what_was_written(made: tuple[bytes, list[Told]]) -> None:
    data, told = made
    export = export_in(data)
    assert sorted(set(export.samples["stream"])) == list(range(1, len(told) + 1))
    assert all(stream.against is None for stream in export.streams)
    for number, sensor_told in enumerate(told, 1):
        _check(export, number, sensor_told)


def _check(export: Export, number: int, told: Told) -> None:
    own = export.samples[export.samples["stream"] == number].dropna(subset="heart_rate_bpm")
    assert own["heart_rate_bpm"].to_numpy() == pytest.approx(told.rates)
    seconds = own["time"].dt.as_unit("ms").astype("int64").to_numpy() / 1000 - fb.EPOCH
    assert seconds == pytest.approx(told.seconds, abs=0.002)
