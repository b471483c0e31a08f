"""The heart rates of a FIT file, each from a source of its own."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import SensorKind
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.export import Stream
from strapline.reading.formats.fit_device import Sensor
from strapline.reading.formats.sentences import placed
from strapline.reading.formats.streams import NEAR_BPM, SMALLEST_SHARE, tracks

RECORDS, MONITORING, MEMORY, DEVELOPER = "records", "monitoring", "memory", "developer"
_ORDER = (RECORDS, MONITORING, MEMORY, DEVELOPER)


@dataclass(frozen=True, order=True)
class Key:
    """What a heart rate stands in; `index` tells sensors or fields of one kind apart, and `track`
    chained files that were recorded at the same time."""

    kind: str
    index: int = -1
    track: int = 0


@dataclass
class Rows:
    """Heart rates in file order; times in seconds of the FIT epoch."""

    times: list[float | None] = field(default_factory=list)
    rates: list[float | None] = field(default_factory=list)
    turns: list[float | None] = field(default_factory=list)
    distances: list[float | None] = field(default_factory=list)
    powers: list[float | None] = field(default_factory=list)
    keys: list[Key] = field(default_factory=list)

    def add(
        self,
        key: Key,
        time: float | None,
        rate: float | None,
        turns: float | None = None,
        distance: float | None = None,
        power: float | None = None,
    ) -> None:
        self.times.append(time)
        self.rates.append(rate)
        self.turns.append(turns)
        self.distances.append(distance)
        self.powers.append(power)
        self.keys.append(key)

    def without_repeats(self) -> int:
        """Drop what developers' fields repeat of the rates beside them or in the next record; how
        many fields did."""
        own: list[float] = []
        others: dict[Key, list[tuple[int, float]]] = {}
        for key, rate in zip(self.keys, self.rates, strict=True):
            if key.kind == DEVELOPER and rate and own:
                others.setdefault(key, []).append((len(own) - 1, rate))
            elif key.kind != DEVELOPER:
                own.append(rate or 0)
        repeats = {key for key, rates in others.items() if _repeat(rates, own)}
        if repeats:
            kept = [place for place, key in enumerate(self.keys) if key not in repeats]
            self.times = [self.times[place] for place in kept]
            self.rates = [self.rates[place] for place in kept]
            self.turns = [self.turns[place] for place in kept]
            self.distances = [self.distances[place] for place in kept]
            self.powers = [self.powers[place] for place in kept]
            self.keys = [self.keys[place] for place in kept]
        return len(repeats)

    def span(self) -> tuple[float, float] | None:
        """First and last time of the records that have a heart rate."""
        rows = zip(self.times, self.rates, self.keys, strict=True)
        known = [time for time, rate, key in rows if time and rate and key.kind == RECORDS]
        return (min(known), max(known)) if known else None


def _repeat(rates: list[tuple[int, float]], own: list[float]) -> bool:
    near = sum(
        any(abs(rate - other) <= NEAR_BPM for other in own[max(place - 1, 0) : place + 2])
        for place, rate in rates
    )
    return near >= SMALLEST_SHARE * len(rates)


def numbered(
    keys: Sequence[Key], rates: Reals, sensors: dict[int, Sensor]
) -> tuple[np.ndarray, tuple[Stream, ...]]:
    """The stream of each row, and the streams, where there are several or one is no sensor of the
    device's; rows of what has no heart rate above 0 belong to the first."""
    kept = {key for key, has in zip(keys, (rates > 0).tolist(), strict=True) if has}
    found = sorted(kept, key=lambda key: (_ORDER.index(key.kind), key.track, key.index))
    numbers = {key: number for number, key in enumerate(found, FIRST_STREAM)}
    rows = np.array([numbers.get(key, FIRST_STREAM) for key in keys], dtype=np.int64)
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


def joined(parts: Sequence[Rows]) -> tuple[list[Key], Reals, Reals]:
    """The keys, times and rates of all parts, chained files that overlap told apart."""
    keys = [
        key if not number else Key(key.kind, key.index, number)
        for part, number in zip(parts, tracks([part.span() for part in parts]), strict=True)
        for key in part.keys
    ]
    times = np.concatenate([reals(part.times) for part in parts])
    return keys, times, np.concatenate([reals(part.rates) for part in parts])
