"""RR intervals of which several stand in one cell, as they came in since the row before."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from strapline.reading.formats import judged
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.numbers import is_number, measured, number
from strapline.reading.formats.time_choice import Times

_BETWEEN = re.compile(r"[\s;|/\[\](){}]+|,\s+")


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
    rr_s = np.nan_to_num(judged.in_ms(values, unit_s)[0]) / 1000
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
