"""A table of text cells, by what its columns mean, and the export it makes."""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from strapline.ground.tables.recordings import BEATS, SAMPLES
from strapline.reading.formats import columns, headings, sentences
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.export import Export, Hints, UnreadableExport
from strapline.reading.formats.headings import Heading
from strapline.reading.formats.numbers import measured
from strapline.reading.formats.table_times import Times, read_times

Cells = list[str | None]

# Nobody's recording starts an hour into itself; a clock on the wall does.
_LATEST_START_S = 3600
_MISSING = {"nan", "na", "n/a", "null", "none", "nil", "inf", "-inf"}


@dataclass
class Column:
    """One column; missing cells are None."""

    text: str
    heading: Heading
    cells: Cells = field(default_factory=list)

    @property
    def count(self) -> int:
        return len(self.cells) - self.cells.count(None)


@dataclass
class Table:
    """The columns that mean something, row by row.

    long_rows
        Rows with more cells than there are headings.
    is_broken
        Whether the table cannot be read to its end.
    """

    columns: list[Column]
    long_rows: int = 0
    is_broken: bool = False
    remarks: list[str] = field(default_factory=list)

    def all_of(self, *meanings: str) -> list[Column]:
        return [column for column in self.columns if column.heading.meaning in meanings]

    def first_of(self, meaning: str) -> Column | None:
        return min(self.all_of(meaning), key=lambda column: column.heading.rank, default=None)

    @property
    def length(self) -> int:
        return len(self.columns[0].cells) if self.columns else 0


def cell(text: str) -> str | None:
    """`text` without blanks around it; None where it says 'missing', dashes for instance."""
    text = text.strip()
    is_missing = not any(map(str.isalnum, text)) or text.casefold() in _MISSING
    return None if is_missing else text


def export_of(table: Table, format_name: str, hints: Hints) -> Export:
    """Every row as a sample; RR intervals too, where there is a column of them.

    Without a heart rate column the RR intervals are all there is, and there are no samples.
    Raises UnreadableExport where no time can be read.
    """
    if not table.length:
        raise UnreadableExport(sentences.nothing_recorded(table.is_broken))
    times = _times(table, hints)
    samples, beats = SAMPLES.empty(), BEATS.empty()
    heart_rate, others = _heart_rate(table, hints)
    if heart_rate is not None:
        cadence = table.first_of(headings.CADENCE)
        samples = columns.samples(
            _numbers(heart_rate), times.ms, times.elapsed_s, _numbers(cadence) if cadence else None
        )
    if (intervals := table.first_of(headings.RR)) is not None:
        rr_ms = columns.rr_in_ms(_numbers(intervals))
        known = ~np.isnan(rr_ms)
        beats = columns.beats(rr_ms[known], None if times.ms is None else times.ms[known])
    if samples.empty and beats.empty:
        raise UnreadableExport(sentences.nothing_recorded(table.is_broken))
    return Export(
        format=format_name,
        clock=times.clock,
        samples=samples,
        beats=beats,
        utc_offset_s=times.utc_offset_s,
        remarks=(*table.remarks, *_remarks(table, times), *_which(table, heart_rate, others)),
    )


def _times(table: Table, hints: Hints) -> Times:
    by_rank = sorted(
        table.all_of(headings.TIME, headings.DATE, headings.ELAPSED),
        key=lambda column: (headings.MEANINGS.index(column.heading.meaning), column.heading.rank),
    )
    return read_times([(column.heading, column.cells) for column in by_rank], hints.dates)


def _heart_rate(table: Table, hints: Hints) -> tuple[Column | None, list[Column]]:
    """The column to take heart rates from, and others nobody decided against.

    It is the one asked for, or else one whose heading is a known word, or else whichever has
    the most values.
    """
    found = sorted(
        table.all_of(headings.HEART_RATE),
        key=lambda column: (
            not (column.heading.is_exact and column.count),
            -column.count,
            column.heading.rank,
        ),
    )
    if hints.heart_rate:
        return _asked_for(hints.heart_rate, found), []
    if not found:
        return None, []
    return found[0], [column for column in found[1:] if column.count]


def _asked_for(heading: str, columns: list[Column]) -> Column:
    asked = heading.strip().casefold()
    for column in columns:
        if column.text.casefold() == asked:
            return column
    has = sentences.counted(len(columns), "other column") if columns else "no other column"
    raise UnreadableExport(
        f"The file has no column headed '{heading}', which the session card names for the heart "
        f"rate, and {has} of heart rates. Write the heading in the card as it is in the file."
    )


def _numbers(column: Column) -> Reals:
    return reals([measured(value) for value in column.cells])


def _which(table: Table, used: Column | None, others: list[Column]) -> Iterator[str]:
    if used is not None and others:
        rates = [column for column in table.all_of(headings.HEART_RATE) if column.count]
        place = next(place for place, column in enumerate(rates) if column is used)
        yield (
            f"The file has {len(rates)} columns of heart rates, and the "
            f"{sentences.placed(place)} of them is used. To use another, give its heading as "
            "heart_rate in the card of its session (session.yaml in the session's folder)."
        )


def _remarks(table: Table, times: Times) -> Iterator[str]:
    if table.is_broken:
        yield sentences.broken_off(table.length)
    if table.long_rows:
        rows = sentences.counted(table.long_rows, "row")
        yield f"Cells beyond the headings: in {rows}; decimal commas may be the reason."
    stated = times.ms if times.ms is not None else times.elapsed_s
    missing = 0 if stated is None else int(np.isnan(stated).sum())
    if missing:
        yield f"No time that can be read: in {sentences.counted(missing, 'row')}."
    if times.elapsed_s is not None and np.nanmin(times.elapsed_s) > _LATEST_START_S:
        yield (
            "The times look like times of day without a date; only the time between them is used."
        )
