"""Rows of several quantities, each with a word for its own: {"type": "hr", "value": 120}."""

from collections.abc import Iterator, Sequence
from typing import Any

from strapline.reading.formats.headings import HEART_RATE, RR, Headings
from strapline.reading.formats.json_guess import Series
from strapline.reading.formats.numbers import measured

_MOST_QUANTITIES, _MOST_OF_HEARTS = 50, 4
_LOOKED_AT = 200


def of_one_quantity(series: Series, words: Headings) -> Iterator[Series]:
    """The rows of each quantity that is a heart's, the value called as the row calls it."""
    columns = series.columns
    for name, cells in columns.items():
        spoken = sorted({cell for cell in cells if isinstance(cell, str)})
        if len(spoken) > _MOST_QUANTITIES:
            continue
        told = [word for word in spoken if words.meaning_of(word) in (HEART_RATE, RR)]
        for word in told[:_MOST_OF_HEARTS]:
            rows = [row for row, cell in enumerate(cells) if cell == word]
            own = {n: [column[row] for row in rows] for n, column in columns.items() if n != name}
            values = [n for n in own if not words.topic([n]) and _has_numbers(own[n])]
            if len(values) == 1:
                named = {word if n == values[0] else n: column for n, column in own.items()}
                yield Series(named, series.keys)


def _has_numbers(cells: Sequence[Any]) -> bool:
    return any(
        isinstance(cell, float) or (isinstance(cell, str) and measured(cell) == measured(cell))
        for cell in cells[:_LOOKED_AT]
    )
