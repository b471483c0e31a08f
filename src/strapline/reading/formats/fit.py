"""FIT: the binary format of sports watches and bike computers."""

from collections.abc import Iterable
from itertools import zip_longest
from typing import Any, TypeVar

import numpy as np

from strapline.ground.vocabulary import FileClock
from strapline.reading.formats import columns, sentences
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.export import Export, UnreadableExport
from strapline.reading.formats.fit_clocks import (
    RecordedBeats,
    TickingBeats,
    rolled_on,
    unpacked_12_bits,
)
from strapline.reading.formats.fit_device import DEVICE_FIELDS, FitDevice
from strapline.reading.formats.fit_messages import (
    DEVELOPER_HEART_RATE,
    TIMESTAMP,
    FitStream,
    Message,
)
from strapline.reading.formats.fit_sport import SPORT_FIELDS, sport_of
from strapline.reading.formats.headings import HEART_RATE, Headings
from strapline.reading.formats.limits import refuse_beyond
from strapline.reading.formats.speed import speed_m_s

_Fact = TypeVar("_Fact")

FIT_EPOCH_S = 631_065_600
# Smaller timestamps are FIT's seconds since the device was switched on.
_FIRST_DATE = 0x1000_0000
_FURTHEST_ZONE_S = 14 * 3600
_QUARTER_HOUR_S, _SLACK_S = 900, 60
_BY_A_DEVELOPER = (
    "The heart rates stand in a field that an app added to the records, which have none of "
    "their own; they may be another sensor's."
)
# For these FIT counts cadence in strides, two steps each.
_STEPPING_SPORTS = {"running", "walking"}

_LAP, _RECORD, _ACTIVITY = 19, 20, 34
_MONITORING, _HRV, _MONITORING_INFO, _HR = 55, 78, 103, 132
_LOCAL_TIMESTAMP = {_ACTIVITY: 5, _MONITORING_INFO: 0}

# Fields of a record; of positions, one is enough to tell that there are any.
_LATITUDE, _DISTANCE, _POWER = 0, 5, 7
_DISTANCES_IN_A_METRE = 100

# The fields to read of each message, by their numbers in the FIT profile.
_WANTED = {
    **DEVICE_FIELDS,
    **SPORT_FIELDS,
    _LAP: frozenset({2}),
    _RECORD: frozenset({TIMESTAMP, _LATITUDE, 3, 4, _DISTANCE, _POWER, 53, DEVELOPER_HEART_RATE}),
    _ACTIVITY: frozenset({TIMESTAMP, 5}),
    _MONITORING: frozenset({TIMESTAMP, 26, 27}),
    _HRV: frozenset({0}),
    _MONITORING_INFO: frozenset({TIMESTAMP, 0}),
    _HR: frozenset({TIMESTAMP, 0, 6, 9, 10}),
}


def read_fit(data: bytes, headings: Headings) -> Export:
    """Every record, RR interval and heart-rate message of all files chained in `data`.

    Cadence is in steps a minute for running and walking, else in turns a minute. Where no record
    has a heart rate of its own, one in a field of a developer's own is taken. What a broken
    file holds before the break is used. Raises UnreadableExport where that is nothing.
    """
    stream = FitStream(data, _WANTED, lambda name: headings.meaning_of(name) == HEART_RATE)
    parts: list[_Part] = []
    for message in stream:
        if message is None:
            parts.append(_Part())
        else:
            parts[-1].take(message)
    count = sum(len(part.times) for part in parts)
    refuse_beyond(max(count, sum(len(part.rr_ms) for part in parts)))
    if not count and not any(part.rr_ms for part in parts):
        raise UnreadableExport(sentences.nothing_recorded(stream.is_broken))
    heart_rates, by_a_developer = _heart_rates(parts)
    times = np.concatenate([reals(part.times) for part in parts])
    dated = np.where(times >= _FIRST_DATE, times, np.nan)
    undated = np.where(times < _FIRST_DATE, times, np.nan)
    beat_times = np.concatenate([reals(part.rr_ends) for part in parts])
    beat_times[~(beat_times >= _FIRST_DATE)] = np.nan
    has_dates = bool(np.isfinite(dated).any() or np.isfinite(beat_times).any())
    return Export(
        format="fit",
        clock=FileClock.UTC if has_dates else FileClock.ELAPSED,
        samples=columns.samples(
            heart_rates,
            times_ms=_unix_ms(dated),
            elapsed_s=_since_first(undated),
            cadence=np.concatenate([part.cadence() for part in parts]),
            speed=np.concatenate([part.speed() for part in parts]),
            power=np.concatenate([reals(part.powers) for part in parts]),
        ),
        beats=columns.beats([rr for part in parts for rr in part.rr_ms], _unix_ms(beat_times)),
        utc_offset_s=_first(part.utc_offset_s for part in parts),
        firmware=_first(part.device.firmware for part in parts),
        external_sensor=_first(part.device.external_sensor for part in parts),
        lap_starts_ms=tuple(
            (start + FIT_EPOCH_S) * 1000 for part in parts for start in part.lap_starts
        ),
        satellite=any(len(part.latitudes) > 1 for part in parts),
        remarks=(
            *_remarks(stream, count, sum(part.clock.restarts for part in parts)),
            *sentences.before_the_date(undated if has_dates else np.array([]), count),
            *([_BY_A_DEVELOPER] if by_a_developer else []),
        ),
    )


def _heart_rates(parts: list["_Part"]) -> tuple[Reals, bool]:
    """Heart rates of all messages, and whether they are from developers' fields."""
    own = np.concatenate([reals(part.heart_rates) for part in parts])
    others = np.concatenate([reals(part.developer_heart_rates) for part in parts])
    by_a_developer = bool(np.isnan(own).all() and np.isfinite(others).any())
    return (others if by_a_developer else own), by_a_developer


class _Part:
    """What one of the chained files says, in file order; times in seconds of the FIT epoch."""

    def __init__(self) -> None:
        self.times: list[float | None] = []
        self.heart_rates: list[float | None] = []
        self.turns: list[float | None] = []
        self.distances: list[float | None] = []
        self.powers: list[float | None] = []
        self.latitudes: set[int] = set()
        self.rr_ms: list[float] = []
        self.rr_ends: list[float | None] = []
        self.developer_heart_rates: list[float | None] = []
        self.device = FitDevice()
        self.utc_offset_s: int | None = None
        self.sports: list[str] = []
        self.lap_starts: list[float] = []
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
        elif message.number == _LAP:
            start = _one(message.values.get(2))
            self.lap_starts += [] if start is None or start < _FIRST_DATE else [start]
        elif message.number in DEVICE_FIELDS:
            self.device.take(message)
        elif message.number in SPORT_FIELDS:
            sport = sport_of(message)
            self.sports += [sport] if sport else []
        if message.number in _LOCAL_TIMESTAMP:
            local = _whole(message.values.get(_LOCAL_TIMESTAMP[message.number]))
            self._take_zone(_whole(message.values.get(TIMESTAMP)), local)

    def cadence(self) -> Reals:
        steps = bool(self.sports) and set(self.sports) <= _STEPPING_SPORTS
        return reals(self.turns) * (2 if steps else 1)

    def speed(self) -> Reals:
        """In m/s, from the distance; messages that are no record have none."""
        return speed_m_s(reals(self.times), reals(self.distances) / _DISTANCES_IN_A_METRE)

    def _take_record(self, values: dict[int, Any]) -> None:
        time, cadence = _one(values.get(TIMESTAMP)), _one(values.get(4))
        if time is not None:
            self.clock.pass_record(time)
        if cadence is not None:
            cadence += (_one(values.get(53)) or 0) / 128
        latitude = _whole(values.get(_LATITUDE))
        if latitude is not None and len(self.latitudes) < 2:
            self.latitudes.add(latitude)
        self._add(
            time,
            _one(values.get(3)),
            cadence,
            _one(values.get(DEVELOPER_HEART_RATE)),
            _one(values.get(_DISTANCE)),
            _one(values.get(_POWER)),
        )

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
            self._add(time, _one(heart_rate))

    def _take_monitoring(self, values: dict[int, Any]) -> None:
        timestamp, low_bits = _whole(values.get(TIMESTAMP)), _whole(values.get(26))
        if timestamp is not None:
            self._monitored = timestamp
        elif low_bits is not None:
            self._monitored = rolled_on(self._monitored, low_bits, 16)
        if 27 in values:
            self._add(self._monitored, _one(values[27]))

    def _take_zone(self, time: int | None, local: int | None) -> None:
        """Zones are quarters of an hour from UTC; clocks are set apart by seconds."""
        if time is None or local is None or min(time, local) < _FIRST_DATE:
            return
        offset = round((local - time) / _QUARTER_HOUR_S) * _QUARTER_HOUR_S
        if abs(local - time - offset) <= _SLACK_S and abs(offset) <= _FURTHEST_ZONE_S:
            self.utc_offset_s = offset

    def _add(
        self,
        time: float | None,
        heart_rate: float | None,
        turns: float | None = None,
        by_a_developer: float | None = None,
        distance: float | None = None,
        power: float | None = None,
    ) -> None:
        self.times.append(time)
        self.heart_rates.append(heart_rate)
        self.turns.append(turns)
        self.developer_heart_rates.append(by_a_developer)
        self.distances.append(distance)
        self.powers.append(power)


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


def _first(values: Iterable[_Fact | None]) -> _Fact | None:
    return next((value for value in values if value is not None), None)
