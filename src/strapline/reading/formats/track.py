"""Track points as they come, whatever the XML they stand in."""

import math

import numpy as np

from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.reading.formats import columns, sentences
from strapline.reading.formats.columns import Reals
from strapline.reading.formats.export import Export, Stream, UnreadableExport, refuse_beyond
from strapline.reading.formats.moments import read_moments
from strapline.reading.formats.numbers import number
from strapline.reading.formats.speed import Way
from strapline.reading.formats.streams import tracks


class Track:
    """Track points as they come, in file order."""

    def __init__(self) -> None:
        self.firmware: str | None = None
        self.lap_starts: list[str | None] = []
        self._parts = [0]
        self._times: list[str | None] = []
        # One row after the other.
        self._rows: list[float | None] = []

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
        speed: float = math.nan,
    ) -> None:
        self._times.append(time)
        self._rows.extend((number(heart_rate), cadence, power, distance, *place, speed))
        refuse_beyond(len(self._times))

    def export(self, format_name: str, is_broken: bool) -> Export:
        if not self._times:
            raise UnreadableExport(sentences.nothing_recorded(is_broken))
        moments = read_moments(self._times)
        if np.isnan(moments.ms).all():
            raise UnreadableExport(sentences.NO_TIMES)
        rates, cadences, powers, *way = columns.reals(self._rows).reshape(len(self._times), -1).T
        numbers, streams = self._streams(moments.ms, rates)
        lap_starts = read_moments(self.lap_starts).ms
        return Export(
            format=format_name,
            streams=streams,
            clock=moments.clock,
            utc_offset_s=moments.utc_offset_s,
            samples=columns.samples(
                rates,
                moments.ms,
                cadence=cadences,
                speed=Way(*way).speed_m_s(moments.ms / 1000),
                power=powers,
                stream=numbers,
            ),
            satellite=Way(*way).moves(),
            firmware=self.firmware,
            lap_starts_ms=tuple(lap_starts[np.isfinite(lap_starts)].tolist()),
            broken_off=sentences.broken_off(is_broken, len(self._times)),
        )

    def _streams(self, ms: Reals, rates: Reals) -> tuple[np.ndarray, tuple[Stream, ...]]:
        """The stream of each point, and the streams, where tracks were recorded at one time."""
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
