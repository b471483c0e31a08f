"""Plain lists of RR intervals, one a line."""

from collections.abc import Iterable, Iterator
from itertools import islice

import numpy as np

from strapline.ground.vocabulary import FileClock
from strapline.reading.formats import columns, sentences
from strapline.reading.formats.export import Export, UnreadableExport
from strapline.reading.formats.headings import RR, Headings
from strapline.reading.formats.limits import refuse_beyond
from strapline.reading.formats.numbers import is_number, number

_LINES_LOOKED_AT = 20
# A median outside 20 to 300 bpm: a list of heart rates, say, or of the times of beats.
_SHORTEST_MS, _LONGEST_MS = 200, 3000


def is_rr_text(lines: Iterable[str], headings: Headings) -> bool:
    """Whether each of the first lines is one number, below an RR heading if there is any.

    Lines starting with # are comments. Without a heading, a comma is not taken for a decimal
    comma: two columns, of seconds and heart rates say, would pass for RR intervals.
    """
    first = list(islice(_stated(lines), _LINES_LOOKED_AT))
    has_heading = _has_heading(first, headings)
    numbers = first[1:] if has_heading else first
    return bool(numbers) and all(
        is_number(line) and (has_heading or "," not in line) for line in numbers
    )


def read_rr_text(lines: Iterable[str], headings: Headings) -> Export:
    """Every RR interval, taken as seconds where their median is 10 or less, else as ms.

    Raises UnreadableExport where that makes no heart's rhythm.
    """
    stated = _stated(lines)
    first = next(stated, "")
    values = [] if _has_heading([first], headings) else [number(first)]
    for line in stated:
        values.append(number(line))
        refuse_beyond(len(values))
    return rr_export(values, "rr")


def rr_export(values: list[float], format_name: str) -> Export:
    """RR intervals without any other clock than their sum, in ms or s."""
    intervals = columns.rr_in_ms(values)
    known = intervals[~np.isnan(intervals)]
    if not known.size or not _SHORTEST_MS <= np.median(known) <= _LONGEST_MS:
        raise UnreadableExport(
            "The file is a list of numbers, but RR intervals in ms or s they cannot be; "
            "export the session again with times and headings."
        )
    return Export(
        format=format_name,
        clock=FileClock.ELAPSED,
        beats=columns.beats(known),
        remarks=_remarks(intervals.size - known.size),
    )


def _has_heading(lines: list[str], headings: Headings) -> bool:
    return bool(lines) and headings.meaning_of(lines[0]) == RR


def _remarks(left_out: int) -> tuple[str, ...]:
    if not left_out:
        return ()
    return (f"Left out as no RR interval: {sentences.counted(left_out, 'line')}.",)


def _stated(lines: Iterable[str]) -> Iterator[str]:
    stripped = (line.strip() for line in lines)
    return (line for line in stripped if line and not line.startswith("#"))
