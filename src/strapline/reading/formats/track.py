"""Track points as they come, whatever the XML they stand in."""

import math

import numpy as np

from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.reading.formats import columns, sentences
from strapline.reading.formats.columns import Reals
from strapline.reading.formats.export import Export, Stream, UnreadableExport, refuse_beyond
from strapline.reading.formats.moments import read_moments
from strapline.reading.formats.numbers import number
from strapline.reading.formats.speed import moves, path_m, speed_m_s
from strapline.reading.formats.streams import tracks


class Track:
    """Track points as they come, in file order."""

    def __init__(self) -> None:
        self.firmware: str | None = None
        self.lap_starts: list[str | None] = []
        self._parts = [0]
        self._times: list[str | None] = []
        self._heart_rates: list[float] = []
        self._cadences: list[float] = []
        self._distances: list[float] = []
        self._powers: list[float] = []
        self._latitudes: list[float] = []
        self._longitudes: list[float] = []

    def begin(self) -> None:
        """What follows is a track of its own."""
        self._parts.append(len(self._times))

    def add(
        self,
        time: str | None,
        heart_rate: str | None,
        *,
        cadence: float,
        power: float,
        place: tuple[float, float],
        distance: float = math.nan,
    ) -> None:
        self._times.append(time)
        self._heart_rates.append(number(heart_rate))
        self._cadences.append(cadence)
        self._distances.append(distance)
        self._powers.append(power)
        self._latitudes.append(place[0])
        self._longitudes.append(place[1])
        refuse_beyond(len(self._times))

    def export(self, format_name: str, is_broken: bool) -> Export:
        if not self._times:
            raise UnreadableExport(sentences.nothing_recorded(is_broken))
        moments = read_moments(self._times)
        if np.isnan(moments.ms).all():
            raise UnreadableExport(sentences.NO_TIMES)
        numbers, streams = self._streams(moments.ms)
        return Export(
            format=format_name,
            streams=streams,
            clock=moments.clock,
            utc_offset_s=moments.utc_offset_s,
            samples=columns.samples(
                self._heart_rates,
                moments.ms,
                cadence=self._cadences,
                speed=self._speed(moments.ms / 1000),
                power=self._powers,
                stream=numbers,
            ),
            satellite=moves(*self._places()),
            firmware=self.firmware,
            lap_starts_ms=self._lap_starts_ms(),
            remarks=self._remarks(is_broken),
        )

    def _speed(self, times_s: Reals) -> Reals:
        """By the distance, or else by the positions, which go no further than here."""
        distance = columns.reals(self._distances)
        if np.isnan(distance).all():
            distance = path_m(*self._places())
        return speed_m_s(times_s, distance)

    def _places(self) -> tuple[Reals, Reals]:
        return columns.reals(self._latitudes), columns.reals(self._longitudes)

    def _streams(self, ms: Reals) -> tuple[np.ndarray, tuple[Stream, ...]]:
        """The stream of each point, and the streams, where tracks were recorded at one time."""
        rates = np.array(self._heart_rates)
        ends = [*self._parts[1:], len(self._times)]
        parts = [slice(start, end) for start, end in zip(self._parts, ends, strict=True)]
        known = [ms[part][(rates[part] > 0) & np.isfinite(ms[part])] / 1000 for part in parts]
        found = tracks([(k.min(), k.max()) if k.size else None for k in known])
        numbers = np.ones(len(self._times), dtype=np.int64)
        for part, track in zip(parts, found, strict=True):
            numbers[part] = track + FIRST_STREAM
        several = range(max(found) + 1) if max(found) else ()
        return numbers, tuple(
            Stream(n + FIRST_STREAM, f"the {sentences.placed(n)} of its tracks of one time")
            for n in several
        )

    def _lap_starts_ms(self) -> tuple[float, ...]:
        moments = read_moments(self.lap_starts).ms if self.lap_starts else np.array([])
        return tuple(moments[np.isfinite(moments)].tolist())

    def _remarks(self, is_broken: bool) -> tuple[str, ...]:
        return (sentences.broken_off(len(self._times)),) if is_broken else ()
