"""Plain lists of RR intervals, one a line or all in one."""

from collections.abc import Iterator
from itertools import chain, islice
from typing import BinaryIO

import numpy as np

from strapline.ground.vocabulary import FileClock
from strapline.reading.formats import columns, judged, sentences
from strapline.reading.formats.columns import Reals
from strapline.reading.formats.export import Export, Hints, UnreadableExport, refuse_beyond
from strapline.reading.formats.heading import Meaning
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.numbers import is_number, number
from strapline.reading.formats.rr_columns import in_ms
from strapline.reading.formats.stated_start import begun, facts_in
from strapline.reading.formats.text_encoding import lines

_LINES_LOOKED_AT, _MOST_COMMENTS = 20, 60
# So many numbers in so few lines are a list along the line.
_FEWEST_IN_LINES, _MOST_LINES = 8, 3
# In one heart each interval is like the one before it: the correlation between both was 0.45 and
# more in 210 real recordings, and is 0 in any list of numbers.
_LEAST_LIKE, _SMALLEST_SPREAD = 0.2, 0.04


def recognises(file: BinaryIO, words: Headings) -> bool:
    """Whether each of the first lines is one number, below an RR heading if there is any, or all
    numbers stand in a line or two.

    Lines starting with # are comments. Without a heading, a comma is not taken for a decimal
    comma: two columns, of seconds and heart rates say, would pass for RR intervals.
    """
    first = list(islice(_stated(file), _LINES_LOOKED_AT))
    has_heading = _has_heading(first, words)
    numbers = first[1:] if has_heading else first
    along = [_along(line) for line in numbers[: _MOST_LINES + 1]]
    if len(numbers) <= _MOST_LINES and min(map(len, along), default=0) >= _FEWEST_IN_LINES:
        return all(is_number(text) for texts in along for text in texts)
    return bool(numbers) and all(
        is_number(line) and (has_heading or "," not in line) for line in numbers
    )


def read(file: BinaryIO, words: Headings, hints: Hints) -> Export:
    """Every RR interval, taken as seconds where their median is 10 or less, else as ms.

    Raises UnreadableExport where that makes no heart's rhythm.
    """
    stated = _stated(file)
    first = next(stated, "")
    has_heading = _has_heading([first], words)
    values: list[float] = []
    for line in stated if has_heading else chain([first], stated):
        value = number(line)
        values += [value] if value == value else map(number, _along(line))
        refuse_beyond(len(values))
    comments = [line for line in islice(lines(file), _MOST_COMMENTS) if line.startswith("#")]
    export = rr_export(values, "rr", has_heading)
    return begun(export, facts_in(comments), words, hints.dates)


def rr_export(values: list[float], format_name: str, are_named: bool = True) -> Export:
    """RR intervals without any other clock than their sum, in ms or s; `are_named` if the file says
    that they are."""
    intervals, _ = in_ms(columns.reals(values), None)
    known = intervals[~np.isnan(intervals)]
    reason = judged.no_rhythm(known) if known.size else "there is none"
    if reason is None and not are_named and _is_any_list(known):
        reason = "none is like the one before it; if they are, head them with RR (ms)"
    if reason is not None:
        raise UnreadableExport(
            f"The file is a list of numbers, but RR intervals in ms or s they cannot be: {reason}. "
            "Export the session again with times and headings."
        )
    return Export(
        format=format_name,
        clock=FileClock.ELAPSED,
        beats=columns.beats(known),
        remarks=_remarks(intervals.size - known.size),
    )


def _is_any_list(rr_ms: Reals) -> bool:
    if rr_ms.size < judged.FEWEST_CHANGES:
        return False
    middle = np.median(rr_ms)
    spread = np.median(np.abs(rr_ms - middle))
    if spread < _SMALLEST_SPREAD * middle:
        return False
    usual = np.clip(rr_ms, middle - 4 * spread, middle + 4 * spread)
    return float(np.corrcoef(usual[1:], usual[:-1])[0, 1]) < _LEAST_LIKE


def _along(line: str) -> list[str]:
    """The numbers along a line, between blanks or semicolons, or else between commas."""
    texts = line.replace(";", " ").split()
    bare = [text.rstrip(",") for text in texts]
    return bare if len(bare) > 1 and all(map(is_number, bare)) else line.replace(",", " ").split()


def _has_heading(first: list[str], words: Headings) -> bool:
    found = words.read(first[0]) if first else None
    return found is not None and found.meaning == Meaning.RR and found.is_exact


def _remarks(left_out: int) -> tuple[str, ...]:
    if not left_out:
        return ()
    return (f"Left out as no RR interval: {sentences.counted(left_out, 'line')}.",)


def _stated(file: BinaryIO) -> Iterator[str]:
    stripped = (line.strip() for line in lines(file))
    return (line for line in stripped if line and not line.startswith("#"))
