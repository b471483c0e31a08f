"""The heart rates of a FIT file, each from a source of its own."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import SensorKind
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.export import Stream
from strapline.reading.formats.fit_device import Sensor
from strapline.reading.formats.sentences import placed
from strapline.reading.formats.streams import NEAR_BPM, SMALLEST_SHARE, tracks

RECORDS, MONITORING, MEMORY, DEVELOPER = "records", "monitoring", "memory", "developer"
_BESIDE = ("times", "rates", "turns", "distances", "powers", "latitudes", "longitudes")
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
    """Heart rates in file order; times in seconds of the FIT epoch. `codes` are the places of the
    rows' keys among `keys`."""

    def __init__(self) -> None:
        self.keys: list[Key] = []
        self.codes: list[int] = []
        self.times: list[float | None] = []
        self.rates: list[float | None] = []
        self.turns: list[float | None] = []
        self.distances: list[float | None] = []
        self.powers: list[float | None] = []
        self.latitudes: list[float | None] = []
        self.longitudes: list[float | None] = []
        self._known: dict[tuple[str, int], int] = {}

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
        turns: float | None = None,
        distance: float | None = None,
        power: float | None = None,
        place: tuple[float | None, float | None] = (None, None),
    ) -> None:
        self.codes.append(code)
        self.times.append(time)
        self.rates.append(rate)
        self.turns.append(turns)
        self.distances.append(distance)
        self.powers.append(power)
        self.latitudes.append(place[0])
        self.longitudes.append(place[1])

    def without_repeats(self) -> int:
        """Drop what developers' fields repeat of the rates beside them or in the next record; how
        many fields did."""
        fields = {code for code, key in enumerate(self.keys) if key.kind == DEVELOPER}
        if not fields:
            return 0
        own: list[float] = []
        others: dict[int, list[tuple[int, float]]] = {}
        for code, rate in zip(self.codes, self.rates, strict=True):
            if code not in fields:
                own.append(rate or 0)
            elif rate and own:
                others.setdefault(code, []).append((len(own) - 1, rate))
        repeats = {code for code, rates in others.items() if _repeat(rates, own)}
        if repeats:
            kept = [place for place, code in enumerate(self.codes) if code not in repeats]
            self.codes = [self.codes[place] for place in kept]
            for name in _BESIDE:
                values = getattr(self, name)
                setattr(self, name, [values[place] for place in kept])
        return len(repeats)


def _repeat(rates: list[tuple[int, float]], own: list[float]) -> bool:
    near = sum(
        any(abs(rate - other) <= NEAR_BPM for other in own[max(place - 1, 0) : place + 2])
        for place, rate in rates
    )
    return near >= SMALLEST_SHARE * len(rates)


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
    times = [reals(part.times) for part in parts]
    rates = [reals(part.rates) for part in parts]
    spans = [_span(*each) for each in zip(parts, times, rates, strict=True)]
    for part, track in zip(parts, tracks(spans), strict=True):
        codes.append(np.array(part.codes, dtype=np.int64) + len(keys))
        keys += [Key(key.kind, key.index, track) for key in part.keys]
    return Joined(keys, np.concatenate(codes), np.concatenate(times), np.concatenate(rates))


def _span(rows: Rows, times: Reals, rates: Reals) -> tuple[float, float] | None:
    """First and last time of the records that have a heart rate."""
    of_records = np.array([key.kind == RECORDS for key in rows.keys], dtype=bool)
    if not of_records.any():
        return None
    known = times[of_records[np.array(rows.codes, dtype=np.int64)] & (rates > 0) & (times > 0)]
    return (float(known.min()), float(known.max())) if known.size else None
