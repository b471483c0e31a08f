"""The heart rates of a FIT file, each from a source of its own."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import SensorKind
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.export import Stream
from strapline.reading.formats.fit_device import Sensor
from strapline.reading.formats.sentences import placed
from strapline.reading.formats.streams import NEAR_BPM, SMALLEST_SHARE, tracks

RECORDS, MONITORING, MEMORY, DEVELOPER = "records", "monitoring", "memory", "developer"
_COLUMNS = ("code", "time", "rate", "turns", "distance", "power", "latitude", "longitude", "speed")
_NOTHING_BESIDE = (None,) * 6
_ORDER = (RECORDS, MONITORING, MEMORY, DEVELOPER)


@dataclass(frozen=True, order=True)
class Key:
    """What a heart rate stands in; `index` tells sensors or fields of one kind apart, and `track`
    chained files that were recorded at the same time."""

    kind: str
    index: int = -1
    track: int = 0


@dataclass(frozen=True)
class Joined:
    """The rows of all chained files: each row's key, as its place among `keys`, time and rate."""

    keys: list[Key]
    codes: np.ndarray
    times: Reals
    rates: Reals

    @property
    def with_rates(self) -> set[Key]:
        """The keys of which some row has a heart rate above 0."""
        return {self.keys[code] for code in np.unique(self.codes[self.rates > 0])}


class Rows:
    """Heart rates in file order with what stands beside them, as FIT has it; times in seconds of
    the FIT epoch. A row's code is the place of its key among `keys`."""

    def __init__(self) -> None:
        self.keys: list[Key] = []
        self._known: dict[tuple[str, int], int] = {}
        # One row after the other.
        self._added: list[float | None] = []

    def code(self, kind: str, index: int = -1) -> int:
        known = self._known.get((kind, index))
        if known is None:
            known = self._known[kind, index] = len(self.keys)
            self.keys.append(Key(kind, index))
        return known

    def add(
        self,
        code: int,
        time: float | None,
        rate: float | None,
        beside: tuple[float | None, ...] = _NOTHING_BESIDE,
    ) -> None:
        """`beside`: turns, distance, power, latitude, longitude and speed."""
        self._added.extend((code, time, rate, *beside))

    def __getitem__(self, name: str) -> Reals:
        """One of the columns, when all rows are added, without what developers' fields repeat."""
        return self._kept[0][:, _COLUMNS.index(name)]

    @cached_property
    def codes(self) -> np.ndarray:
        return self["code"].astype(np.int64)

    @property
    def repeated(self) -> int:
        """How many developers' fields repeat the rates beside them or in the next record."""
        return self._kept[1]

    @cached_property
    def _kept(self) -> tuple[Reals, int]:
        table = reals(self._added).reshape(-1, len(_COLUMNS))
        fields = [code for code, key in enumerate(self.keys) if key.kind == DEVELOPER]
        repeats = [code for code in fields if _repeats(table, fields, code)]
        return table[~np.isin(table[:, 0], repeats)], len(repeats)


def _repeats(table: Reals, fields: list[int], code: int) -> bool:
    """Whether the rates of one of the developers' fields are those of the records around."""
    codes, rates = table[:, 0], np.nan_to_num(table[:, 2])
    is_own = ~np.isin(codes, fields)
    own, before = rates[is_own], np.cumsum(is_own) - 1
    mine = (codes == code) & (rates != 0) & (before >= 0)
    around = before[mine] + np.array([[-1], [0], [1]])
    if not around.size:
        return False
    near = np.abs(own[np.clip(around, 0, own.size - 1)] - rates[mine]) <= NEAR_BPM
    return bool(near.any(axis=0).sum() >= SMALLEST_SHARE * mine.sum())


def numbered(joined: Joined, sensors: dict[int, Sensor]) -> tuple[np.ndarray, tuple[Stream, ...]]:
    """The stream of each row, and the streams, where there are several or one is no sensor of the
    device's; rows of what has no heart rate above 0 belong to the first."""
    found = sorted(
        joined.with_rates, key=lambda key: (_ORDER.index(key.kind), key.track, key.index)
    )
    numbers = {key: number for number, key in enumerate(found, FIRST_STREAM)}
    of_codes = np.array([numbers.get(key, FIRST_STREAM) for key in joined.keys], dtype=np.int64)
    rows = of_codes[joined.codes]
    if len(found) < 2 and not any(key.kind == MEMORY for key in found):
        return rows, ()
    several = len({key.track for key in found}) > 1
    return rows, tuple(_stream(numbers[key], key, sensors, several) for key in found)


def _stream(number: int, key: Key, sensors: dict[int, Sensor], several_tracks: bool) -> Stream:
    sensor = sensors.get(key.index) if key.kind == RECORDS else None
    source = {
        RECORDS: "the records",
        MONITORING: "the monitoring of the day",
        MEMORY: "a strap's memory (messages of kind 'hr')",
        DEVELOPER: "a field that an app added to the records",
    }[key.kind]
    if sensor is not None:
        source = f"the records, by {sensor.told}"
    if several_tracks:
        source = f"{source}, in the {placed(key.track)} of the files chained in this one"
    kind = SensorKind.CHEST_STRAP if key.kind == MEMORY else sensor.kind if sensor else None
    return Stream(number, source, kind)


def joined(parts: Sequence[Rows]) -> Joined:
    """The rows of all parts, chained files that overlap in time told apart."""
    keys: list[Key] = []
    codes: list[np.ndarray] = []
    spans = [_span(part) for part in parts]
    for part, track in zip(parts, tracks(spans), strict=True):
        codes.append(part.codes + len(keys))
        keys += [Key(key.kind, key.index, track) for key in part.keys]
    times, rates = (np.concatenate([part[name] for part in parts]) for name in ("time", "rate"))
    return Joined(keys, np.concatenate(codes), times, rates)


def _span(rows: Rows) -> tuple[float, float] | None:
    """First and last time of the records that have a heart rate."""
    of_records = np.array([key.kind == RECORDS for key in rows.keys], dtype=bool)
    if not of_records.any():
        return None
    known = rows["time"][of_records[rows.codes] & (rows["rate"] > 0) & (rows["time"] > 0)]
    return (float(known.min()), float(known.max())) if known.size else None
