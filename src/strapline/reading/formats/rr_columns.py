"""RR intervals in the rows of a table: their unit; several in a cell; or, at even steps, the
latest."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.numbers import is_number, measured, number
from strapline.reading.formats.time_choice import Times

SHORTEST_MS, LONGEST_MS = 200, 3000
TICKS_PER_S = 1024
# Fewer say little of a level.
FEWEST = 8
# A share of steps that agree within this is no chance.
_EVEN, _MOSTLY = 0.05, 0.8
_STRETCH_S, _SHORTEST_STRETCH_S = 60.0, 30.0
# Rows that come with the beats share a time now and then, where times are whole seconds.
_SHARED = 0.02
# In so many rows end no more beats than their intervals have room in them, and one.
_ROWS, _SELDOM, _SLACK = 10, 0.01, 1.02
# A rate times ten is a number of tens, and stays the same for longer than a beat. Intervals to the
# hundredth of a second do so when beats come fast.
_TENS, _FEWEST_TENS, _RENEWED, _SLOW_S = 10, 4, 0.8, 0.55
_BETWEEN = re.compile(r"[\s;|/\[\](){}]+|,\s+")


def in_ms(values: Reals, unit_s: float | None) -> tuple[Reals, str | None]:
    """RR intervals in ms, by the unit stated if that fits, else by whichever does; and a word on
    that."""
    known = values[values > 0]
    typical = float(np.median(known)) if known.size else 0.0
    worths = {"ms": 1.0, "s": 1000.0, "1/1024 s": 1000 / TICKS_PER_S, "µs": 1e-3}
    if unit_s is not None:
        stated = values * (unit_s * 1000)
        if not known.size or SHORTEST_MS <= typical * unit_s * 1000 <= LONGEST_MS:
            return stated, None
    if unit_s is None and typical <= 10:  # no heart beats every 10 ms, and none waits 10 s
        return values * 1000, None
    for unit, worth in worths.items():
        if SHORTEST_MS <= typical * worth <= LONGEST_MS:
            told = f"Its RR intervals are read in {unit}: in the unit stated, no heart beats so."
            return values * worth, told if unit_s is not None else None
    return values, None


def each_in_cells(
    cells: Sequence[str | None], unit_s: float | None, times: Times
) -> tuple[Reals, Times]:
    """Every interval of the cells, and the times at which they ended: the last of a cell at that of
    its row, and those before it as much earlier as those after them lasted."""
    numbers = [_numbers(cell) for cell in cells]
    if all(len(of_cell) == 1 for of_cell in numbers):
        return reals([of_cell[0] for of_cell in numbers]), times
    rows = np.repeat(np.arange(len(cells)), [len(of_cell) for of_cell in numbers])
    values = reals([value for of_cell in numbers for value in of_cell])
    rr_s = np.nan_to_num(in_ms(values, unit_s)[0]) / 1000
    summed = np.cumsum(rr_s)
    last_of_row = np.cumsum([len(of_cell) for of_cell in numbers]) - 1
    later_s = summed[last_of_row[rows]] - summed
    ms = None if times.ms is None else times.ms[rows] - later_s * 1000
    elapsed_s = None if times.elapsed_s is None else times.elapsed_s[rows] - later_s
    return values, replace(times, ms=ms, elapsed_s=elapsed_s)


def _numbers(cell: str | None) -> list[float]:
    """At least one, missing where there is none."""
    if not cell or is_number(cell):
        return [measured(cell)]
    texts = [text for text in _BETWEEN.split(cell) if text]
    several = len(texts) > 1 and all(map(is_number, texts))
    return [number(text) for text in texts] if several else [measured(cell)]


def sampled_every_s(rr_ms: Reals, times_s: Reals) -> float | None:
    """The even step of rows whose intervals do not fill the time between them; None where rows come
    with the beats."""
    rr_s, times = _known(rr_ms, times_s)
    steps = np.diff(times)
    if steps.size < FEWEST or (usual := float(np.median(steps))) <= 0:
        return None
    if np.mean(np.abs(steps - usual) <= _EVEN * usual) < _MOSTLY or (steps <= 0).mean() > _SHARED:
        return None
    starts = np.arange(times[0], times[-1] - _SHORTEST_STRETCH_S, _STRETCH_S)
    places = np.unique([0, *np.searchsorted(times, starts), times.size - 1])
    filled = np.diff(np.cumsum(rr_s)[places]) / np.diff(times[places])
    return usual if np.mean(np.abs(filled - 1) > _EVEN) > 1 - _MOSTLY else None


def no_latest(rr_ms: Reals, times_s: Reals, step_s: float) -> str | None:
    """Why intervals in rows `step_s` apart are not each the latest, or None."""
    rr_s, times = _known(rr_ms, times_s)
    typical = float(np.median(rr_s))
    is_next = np.abs(np.diff(times) - step_s) <= _EVEN * step_s
    is_new = (np.diff(rr_s) != 0)[is_next]
    if typical < 2 * step_s and is_new.size >= _ROWS:
        begun = np.convolve(is_new * rr_s[1:][is_next], np.ones(_ROWS), mode="valid")
        if np.mean(begun - typical > _SLACK * _ROWS * step_s) > _SELDOM:
            return f"they change more often than intervals of {1000 * typical:.0f} ms can"
    values = np.unique(np.round(1000 * rr_s, 3))
    are_tens = values.size >= _FEWEST_TENS and not (values % _TENS).any()
    if are_tens and typical > _SLOW_S and is_new.mean() < _RENEWED * min(1.0, step_s / typical):
        return "they are all tens, and stay the same for longer than a beat lasts"
    return None


def _known(rr_ms: Reals, times_s: Reals) -> tuple[Reals, Reals]:
    known = np.isfinite(rr_ms) & np.isfinite(times_s) & (rr_ms > 0)
    return rr_ms[known] / 1000, times_s[known]
