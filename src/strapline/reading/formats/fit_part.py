"""What one of the files chained in a FIT file says."""

from itertools import zip_longest
from typing import Any

from strapline.reading.formats.columns import Reals
from strapline.reading.formats.fit_clocks import (
    RecordedBeats,
    TickingBeats,
    rolled_on,
    unpacked_12_bits,
)
from strapline.reading.formats.fit_device import DEVICE_FIELDS, FitDevice
from strapline.reading.formats.fit_messages import DEVELOPER_HEART_RATE, TIMESTAMP, Message
from strapline.reading.formats.fit_rates import DEVELOPER, MEMORY, MONITORING, RECORDS, Rows
from strapline.reading.formats.speed import Way

# Smaller timestamps are FIT's seconds since the device was switched on.
FIRST_DATE = 0x1000_0000
_FURTHEST_ZONE_S = 14 * 3600
_QUARTER_HOUR_S, _SLACK_S = 900, 60
# For these FIT counts cadence in strides, two steps each.
_STEPPING_SPORTS = {"running", "walking"}

_LAP, _RECORD, _ACTIVITY = 19, 20, 34
_MONITORING, _HRV, _MONITORING_INFO, _HR = 55, 78, 103, 132
_LOCAL_TIMESTAMP = {_ACTIVITY: 5, _MONITORING_INFO: 0}
# Fields of a record.
_LATITUDE, _LONGITUDE, _DISTANCE, _POWER, _DEVICE_INDEX = 0, 1, 5, 7, 62
_SPEED, _ENHANCED_SPEED = 6, 73
_BESIDE = (_DISTANCE, _POWER, _LATITUDE, _LONGITUDE)
_DISTANCES_IN_A_METRE, _SPEEDS_IN_A_METRE_A_SECOND = 100, 1000
_DEGREES = 180 / 2**31

# The fields to read of each message, by their numbers in the FIT profile.
WANTED = {
    **DEVICE_FIELDS,
    _LAP: frozenset({2}),
    _RECORD: frozenset(
        {TIMESTAMP, 3, 4, 53, *_BESIDE, _SPEED, _ENHANCED_SPEED, _DEVICE_INDEX}
        | {DEVELOPER_HEART_RATE}
    ),
    _ACTIVITY: frozenset({TIMESTAMP, 5}),
    _MONITORING: frozenset({TIMESTAMP, 26, 27}),
    _HRV: frozenset({0}),
    _MONITORING_INFO: frozenset({TIMESTAMP, 0}),
    _HR: frozenset({TIMESTAMP, 0, 6, 9, 10}),
}


class Part:
    """What one of the chained files says, in file order; times in seconds of the FIT epoch."""

    def __init__(self) -> None:
        self.rows = Rows()
        self.rr_ms: list[float] = []
        self.rr_ends: list[float | None] = []
        self.device = FitDevice()
        self.utc_offset_s: int | None = None
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
            self.lap_starts += [] if start is None or start < FIRST_DATE else [start]
        elif message.number in DEVICE_FIELDS:
            self.device.take(message)
        if message.number in _LOCAL_TIMESTAMP:
            local = _whole(message.values.get(_LOCAL_TIMESTAMP[message.number]))
            self._take_zone(_whole(message.values.get(TIMESTAMP)), local)

    def cadence(self) -> Reals:
        sports = self.device.sports
        steps = bool(sports) and set(sports) <= _STEPPING_SPORTS
        return self.rows["turns"] * (2 if steps else 1)

    def way(self) -> Way:
        """Messages that are no record have none."""
        places = self.rows["latitude"] * _DEGREES, self.rows["longitude"] * _DEGREES
        distance_m = self.rows["distance"] / _DISTANCES_IN_A_METRE
        return Way(distance_m, *places, self.rows["speed"] / _SPEEDS_IN_A_METRE_A_SECOND)

    def _take_record(self, values: dict[int, Any]) -> None:
        time, cadence = _one(values.get(TIMESTAMP)), _one(values.get(4))
        if time is not None:
            self.clock.pass_record(time)
        if cadence is not None:
            cadence += (_one(values.get(53)) or 0) / 128
        speed = _one(values.get(_ENHANCED_SPEED, values.get(_SPEED)))
        beside = cadence, *map(_one, map(values.get, _BESIDE)), speed
        rate, index = _one(values.get(3)), values.get(_DEVICE_INDEX)
        others: list[tuple[int, float | None]] = []
        if next(reversed(values), 0) <= DEVELOPER_HEART_RATE:  # they stand behind all others
            others = [
                (self.rows.code(DEVELOPER, -number), _one(value))
                for number, value in values.items()
                if number <= DEVELOPER_HEART_RATE and value is not None
            ]
        if rate is not None or not others:
            code = self.rows.code(RECORDS, index if isinstance(index, int) else -1)
            self.rows.add(code, time, rate, beside)
        for code, other in others:
            self.rows.add(code, time, other, beside)

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
            self.rows.add(self.rows.code(MEMORY), time, _one(heart_rate))

    def _take_monitoring(self, values: dict[int, Any]) -> None:
        timestamp, low_bits = _whole(values.get(TIMESTAMP)), _whole(values.get(26))
        if timestamp is not None:
            self._monitored = timestamp
        elif low_bits is not None:
            self._monitored = rolled_on(self._monitored, low_bits, 16)
        if 27 in values:
            self.rows.add(self.rows.code(MONITORING), self._monitored, _one(values[27]))

    def _take_zone(self, time: int | None, local: int | None) -> None:
        """Zones are quarters of an hour from UTC; clocks are set apart by seconds."""
        if time is None or local is None or min(time, local) < FIRST_DATE:
            return
        offset = round((local - time) / _QUARTER_HOUR_S) * _QUARTER_HOUR_S
        if abs(local - time - offset) <= _SLACK_S and abs(offset) <= _FURTHEST_ZONE_S:
            self.utc_offset_s = offset


def _one(value: Any) -> float | None:
    return value if isinstance(value, int | float) else None


def _whole(value: Any) -> int | None:
    return value if isinstance(value, int) else None


def _many(value: Any) -> list[Any]:
    return list(value) if isinstance(value, tuple) else [] if value is None else [value]
