"""FIT: the binary format of sports watches and bike computers."""

import hashlib
from collections.abc import Iterable
from itertools import zip_longest
from typing import Any

import numpy as np

from strapline.formats import columns, sentences
from strapline.formats.columns import Reals, reals
from strapline.formats.export import Export, UnreadableExport
from strapline.formats.fit_clocks import (
    RecordedBeats,
    TickingBeats,
    rolled_on,
    unpacked_12_bits,
)
from strapline.formats.fit_messages import TIMESTAMP, FitStream, Message

FIT_EPOCH_S = 631_065_600
# Smaller timestamps are FIT's seconds since the device was switched on.
_FIRST_DATE = 0x1000_0000
# For these FIT counts cadence in strides, two steps each.
_STEPPING_SPORTS = {"running", "walking"}

_FILE_ID, _SPORT, _SESSION, _RECORD, _DEVICE_INFO = 0, 12, 18, 20, 23
_MONITORING, _HRV, _MONITORING_INFO, _HR = 55, 78, 103, 132
_WRITER_OF_THE_FILE = 0

# The fields to read of each message, by their numbers in the FIT profile.
_WANTED = {
    _FILE_ID: frozenset({1, 2, 3, 8}),
    _SPORT: frozenset({0}),
    _SESSION: frozenset({5}),
    _RECORD: frozenset({TIMESTAMP, 3, 4, 53}),
    _DEVICE_INFO: frozenset({0, 2, 3, 4, 27}),
    _MONITORING: frozenset({TIMESTAMP, 26, 27}),
    _HRV: frozenset({0}),
    _MONITORING_INFO: frozenset({TIMESTAMP}),
    _HR: frozenset({TIMESTAMP, 0, 6, 9, 10}),
}


def read_fit(data: bytes) -> Export:
    """Every record, RR interval and heart-rate message of all files chained in `data`.

    Cadence is in steps a minute for running and walking, else in turns a minute. What a broken
    file holds before the break is used. Raises UnreadableExport where that is nothing.
    """
    stream = FitStream(data, _WANTED)
    parts: list[_Part] = []
    for message in stream:
        if message is None:
            parts.append(_Part())
        else:
            parts[-1].take(message)
    count = sum(len(part.times) for part in parts)
    if not count and not any(part.rr_ms for part in parts):
        raise UnreadableExport(sentences.nothing_recorded(stream.is_broken))
    times = np.concatenate([reals(part.times) for part in parts])
    dated = np.where(times >= _FIRST_DATE, times, np.nan)
    undated = np.where(times < _FIRST_DATE, times, np.nan)
    beat_times = np.concatenate([reals(part.rr_ends) for part in parts])
    beat_times[~(beat_times >= _FIRST_DATE)] = np.nan
    has_dates = bool(np.isfinite(dated).any() or np.isfinite(beat_times).any())
    return Export(
        format="fit",
        clock="utc" if has_dates else "elapsed",
        samples=columns.samples(
            np.concatenate([reals(part.heart_rates) for part in parts]),
            times_ms=_unix_ms(dated),
            elapsed_s=_since_first(undated),
            cadence=np.concatenate([part.cadence() for part in parts]),
        ),
        beats=columns.beats([rr for part in parts for rr in part.rr_ms], _unix_ms(beat_times)),
        maker=_first(part.device.get("maker") for part in parts),
        product=_first(part.device.get("product") for part in parts),
        serial=_first(part.hashed_serial() for part in parts),
        sport=_first(sport for part in parts for sport in part.sports),
        remarks=tuple(_remarks(stream, count, sum(part.clock.restarts for part in parts))),
    )


class _Part:
    """What one of the chained files says, in file order; times in seconds of the FIT epoch."""

    def __init__(self) -> None:
        self.times: list[float | None] = []
        self.heart_rates: list[float | None] = []
        self.turns: list[float | None] = []
        self.rr_ms: list[float] = []
        self.rr_ends: list[float | None] = []
        self.device: dict[str, str] = {}
        self.sports: list[str] = []
        self.clock = RecordedBeats()
        self._ticking = TickingBeats()
        self._monitored = 0

    def take(self, message: Message) -> None:
        if message.number == _RECORD:
            self._take_record(message.values)
        elif message.number == _HRV:
            self._take_intervals(_many(message.values.get(0)))
        elif message.number == _HR:
            self._take_heart_rates(message.values)
        elif message.number in (_MONITORING, _MONITORING_INFO):
            self._take_monitoring(message.values)
        else:
            self._take_identity(message)

    def cadence(self) -> Reals:
        steps = bool(self.sports) and set(self.sports) <= _STEPPING_SPORTS
        return reals(self.turns) * (2 if steps else 1)

    def hashed_serial(self) -> str | None:
        if "serial" not in self.device:
            return None
        text = f"{self.device.get('maker', '')}:{self.device['serial']}"
        return hashlib.sha256(text.encode()).hexdigest()[:16]

    def _take_record(self, values: dict[int, Any]) -> None:
        time, cadence = _one(values.get(TIMESTAMP)), _one(values.get(4))
        if time is not None:
            self.clock.pass_record(time)
        if cadence is not None:
            cadence += (_one(values.get(53)) or 0) / 128
        self._add(time, _one(values.get(3)), cadence)

    def _take_intervals(self, intervals: list[Any]) -> None:
        # Five to a message; those not needed are invalid.
        for rr_ms in map(_one, intervals):
            if rr_ms is not None:
                self.rr_ms.append(rr_ms)
                self.rr_ends.append(self.clock.end_of(rr_ms))

    def _take_heart_rates(self, values: dict[int, Any]) -> None:
        ticks = [tick for tick in map(_whole, _many(values.get(9))) if tick is not None]
        timestamp = _whole(values.get(TIMESTAMP))
        if ticks and timestamp is not None:
            self._ticking.tie(timestamp, _whole(values.get(0)) or 0, ticks[0])
        times = [self._ticking.time_of(tick) for tick in ticks]
        for bits in unpacked_12_bits([_whole(octet) for octet in _many(values.get(10))]):
            times.append(self._ticking.time_of_last_bits(bits))
        for time, heart_rate in zip_longest(times, _many(values.get(6))):
            self._add(time, _one(heart_rate), None)

    def _take_monitoring(self, values: dict[int, Any]) -> None:
        timestamp, low_bits = _whole(values.get(TIMESTAMP)), _whole(values.get(26))
        if timestamp is not None:
            self._monitored = timestamp
        elif low_bits is not None:
            self._monitored = rolled_on(self._monitored, low_bits, 16)
        if 27 in values:
            self._add(self._monitored, _one(values[27]), None)

    def _take_identity(self, message: Message) -> None:
        names = message.names
        if message.number == _FILE_ID:
            self._name_device(names.get(1), names.get(8) or names.get(2), names.get(3))
        elif message.number == _DEVICE_INFO and message.values.get(0) == _WRITER_OF_THE_FILE:
            self._name_device(names.get(2), names.get(27) or names.get(4), names.get(3))
        elif message.number == _SPORT and 0 in names:
            self.sports.append(names[0])
        elif message.number == _SESSION and 5 in names:
            self.sports.append(names[5])

    def _name_device(self, maker: str | None, product: str | None, serial: str | None) -> None:
        for key, value in (("maker", maker), ("product", product), ("serial", serial)):
            if value is not None:
                self.device.setdefault(key, value)

    def _add(self, time: float | None, heart_rate: float | None, turns: float | None) -> None:
        self.times.append(time)
        self.heart_rates.append(heart_rate)
        self.turns.append(turns)


def _remarks(stream: FitStream, count: int, restarts: int) -> Iterable[str]:
    if stream.is_broken:
        yield sentences.broken_off(count)
    if stream.wrong_checksums:
        yield "The file's checksum is wrong: some of its values may be damaged."
    if restarts:
        yield (
            "The sum of the RR intervals and the file's clock came apart "
            f"{sentences.counted(restarts, 'time')}, where beats are missing or false; "
            "the clock was followed."
        )


def _one(value: Any) -> float | None:
    return value if isinstance(value, int | float) else None


def _whole(value: Any) -> int | None:
    return value if isinstance(value, int) else None


def _many(value: Any) -> list[Any]:
    return list(value) if isinstance(value, tuple) else [] if value is None else [value]


def _unix_ms(times: Reals) -> Reals:
    return (times + FIT_EPOCH_S) * 1000


def _since_first(times: Reals) -> Reals:
    known = times[np.isfinite(times)]
    return times - known[0] if known.size else times


def _first(values: Iterable[str | None]) -> str | None:
    return next((value for value in values if value is not None), None)
