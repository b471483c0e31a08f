"""Two columns of numbers without headings: times and RR intervals, if their sums say so."""

from collections.abc import Iterable

import numpy as np

from strapline.reading.formats import columns, judged
from strapline.reading.formats.columns import Reals
from strapline.reading.formats.export import Export, Hints, refuse_beyond
from strapline.reading.formats.headings import RR, TIME, Heading
from strapline.reading.formats.numbers import is_number, number
from strapline.reading.formats.table import Column, Table
from strapline.reading.formats.table_export import export_of
from strapline.reading.formats.time_choice import course

_SAID = (
    "Its two columns have no headings; by their steps and sums they are taken for times and RR "
    "intervals."
)
_LARGEST_ERROR = 0.05


def read_bare_columns(lines: Iterable[str]) -> Export | None:
    """The RR intervals of lines with a time and an interval each, or None."""
    first: list[str | None] = []
    second: list[str | None] = []
    for line in lines:
        if not line.strip() or line.startswith("#"):
            continue
        texts = _texts(line)
        if texts is None:
            return None
        first.append(texts[0])
        second.append(texts[1])
        refuse_beyond(len(first))
    ends, rr = (columns.reals([number(text) for text in texts]) for texts in (first, second))
    if len(first) < judged.FEWEST or course(ends) != "each later" or not _adds_up(ends, rr):
        return None
    table = Table(
        [Column("", Heading(TIME), first), Column("", Heading(RR), second)], remarks=[_SAID]
    )
    return export_of(table, "csv", Hints())


def _texts(line: str) -> list[str] | None:
    for delimiter in (";", "\t", None, ","):
        texts = [text.strip() for text in line.strip().split(delimiter)]
        if len(texts) == 2 and all(map(is_number, texts)):
            return texts
    return None


def _adds_up(ends: Reals, rr: Reals) -> bool:
    """Whether the intervals fill the time between the rows, in some unit of either."""
    steps = np.diff(ends)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = float(np.median(rr[1:] / steps))
    return any(abs(ratio * worth - 1) <= _LARGEST_ERROR for worth in (1.0, 1e-3, 1e3))
