"""Which line of a text is the row of headings, and which of its columns are times."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from strapline.ground.vocabulary import DateOrder
from strapline.reading.formats import headings as meanings
from strapline.reading.formats import sentences
from strapline.reading.formats.export import UnreadableExport
from strapline.reading.formats.heading_row import (
    DELIMITERS,
    RATES,
    SPACES,
    TIMES,
    HeadingRow,
    split,
)
from strapline.reading.formats.headings import Heading, Headings
from strapline.reading.formats.table import cell
from strapline.reading.formats.table_times import are_clock_readings, read_times
from strapline.reading.formats.time_choice import GOING_ON, Times, course

_LONGEST_HEADINGS = 20_000
_MOST_COLUMNS = 500

_Cells = list[str | None]


def heading_row(preamble: list[str], words: Headings) -> HeadingRow | None:
    """The row of headings among the first lines of a text, with what its values tell of times."""
    row = _with_times((r for r in possible_headings(preamble, words) if r.are_words), preamble)
    if row is None:
        rows = list(possible_headings(preamble, words))
        row = _with_beats_alone(rows) or _with_times_by_value(rows, preamble)
    return row.with_units(preamble) if row else None


def possible_headings(preamble: list[str], words: Headings) -> Iterator[HeadingRow]:
    for number, line in enumerate(preamble):
        for delimiter in [one for one in DELIMITERS if one in line] or SPACES:
            if delimiter in line.strip():
                row = next(iter(split([line[:_LONGEST_HEADINGS]], delimiter)))
                cells = [text.strip() for text in row[:_MOST_COLUMNS]]
                found = HeadingRow(number, delimiter, cells, words.read_all(cells))
                if not found.is_by_spaces or found.fits(preamble):
                    yield found


def _with_times(rows: Iterable[HeadingRow], preamble: list[str]) -> HeadingRow | None:
    """The first row that has a heart rate and a time; where its times are no moments that go on
    from row to row, with whichever column holds such, and where none moves, with a clock's."""
    row = next((row for row in rows if row.meanings & RATES and row.meanings & TIMES), None)
    if row is None:
        return None
    cells = _cells_below(row, preamble, row.places_of(TIMES))
    columns = [(row.found[place], cells) for place, cells in cells.items()]
    if _are_moments(columns):
        return row
    return _with_moments(row, preamble) or (
        row if _can_be_read(columns) else _with_a_clock(row, preamble) or row
    )


def _cells_below(row: HeadingRow, preamble: list[str], places: Iterable[int]) -> dict[int, _Cells]:
    below = row.below(preamble)
    return {
        place: [cell(cells[place]) if place < len(cells) else None for cells in below]
        for place in places
    }


def _with_beats_alone(rows: list[HeadingRow]) -> HeadingRow | None:
    """RR intervals are a clock of their own."""
    return next((row for row in rows if row.are_words and meanings.RR in row.meanings), None)


def _with_times_by_value(rows: list[HeadingRow], preamble: list[str]) -> HeadingRow | None:
    """The first row of headings that has a heart rate, with whichever column holds moments, or else
    a clock's readings."""
    for row in rows:
        if row.are_words and row.meanings & RATES:
            found = _with_moments(row, preamble) or _with_a_clock(row, preamble)
            if found:
                return found
    return None


def _with_moments(row: HeadingRow, preamble: list[str]) -> HeadingRow | None:
    return _with_unknown(
        row,
        preamble,
        lambda cells: _are_moments([(Heading(meanings.TIME), cells)]),
        "its values are moments that rise",
    )


def _with_a_clock(row: HeadingRow, preamble: list[str]) -> HeadingRow | None:
    return _with_unknown(row, preamble, are_clock_readings, "its values are a clock's, and rise")


def _with_unknown(
    row: HeadingRow, preamble: list[str], is_time: Callable[[_Cells], bool], why: str
) -> HeadingRow | None:
    """The row with the first column whose heading says nothing and whose values are times."""
    unknown = [place for place in range(len(row.cells)) if place not in row.found]
    for place, cells in _cells_below(row, preamble, unknown).items():
        if is_time(cells):
            said = (
                f"No heading says which column is the time; the {sentences.placed(place)} is "
                f"taken, for {why}."
            )
            return replace(row, found={**row.found, place: Heading(meanings.TIME)}, said=said)
    return None


def _are_moments(columns: list[tuple[Heading, _Cells]]) -> bool:
    times = _times(columns)
    return times is not None and times.ms is not None and course(times.seconds) in GOING_ON


def _can_be_read(columns: list[tuple[Heading, _Cells]]) -> bool:
    return _times(columns) is not None


def _times(columns: list[tuple[Heading, _Cells]]) -> Times | None:
    try:
        return read_times(columns, DateOrder.DAY_FIRST)
    except UnreadableExport:
        return None
