"""Which column is the time, where no heading says it: told by its values."""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple, TypeVar

import numpy as np

from strapline.ground.vocabulary import DateOrder
from strapline.reading.formats.export import UnreadableExport
from strapline.reading.formats.heading import Heading, Meaning
from strapline.reading.formats.table import Cells
from strapline.reading.formats.table_times import are_clock_readings, read_times
from strapline.reading.formats.time_choice import GOING_ON, Times, course

_Key = TypeVar("_Key")


def times_in(columns: Sequence[tuple[Heading, Cells]]) -> Times | None:
    """The times that columns give whatever the order of their dates; None where they give none."""
    try:
        return read_times(columns, DateOrder.DAY_FIRST)
    except UnreadableExport:
        return None


def are_moments(times: Times | None) -> bool:
    """Whether they are moments that go on from row to row."""
    return times is not None and times.ms is not None and course(times.seconds) in GOING_ON


def _never_fall(cells: Cells) -> bool:
    """A heart rate falls now and then."""
    times = times_in([(Heading(Meaning.TIME), cells)])
    seconds = times.seconds if times else None
    return seconds is not None and bool((np.diff(seconds) >= 0).all() and np.ptp(seconds) > 0)


class Kind(NamedTuple):
    """A kind of times, and why a column is taken for them."""

    holds: Callable[[Cells], bool]
    why: str = ""


MOMENTS = Kind(
    lambda cells: are_moments(times_in([(Heading(Meaning.TIME), cells)])),
    "its values are moments that rise",
)
CLOCKS = Kind(are_clock_readings, "its values are a clock's, and rise")
NUMBERS = Kind(_never_fall)


def time_among(columns: Mapping[_Key, Cells], *kinds: Kind) -> tuple[_Key, str] | None:
    """The first column that holds times of the first of these kinds that any holds, and why."""
    found = (
        (key, kind.why) for kind in kinds for key, cells in columns.items() if kind.holds(cells)
    )
    return next(found, None)
