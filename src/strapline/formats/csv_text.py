"""Tables as text: CSV with commas, semicolons or tabs, and a row of headings."""

from collections.abc import Iterator

import numpy as np

from strapline.formats import columns, headings, sentences
from strapline.formats.columns import Reals, reals
from strapline.formats.csv_table import Table, read_table
from strapline.formats.csv_times import Times, read_times
from strapline.formats.export import Export, UnreadableExport
from strapline.formats.numbers import number
from strapline.tables import BEATS, SAMPLES

# Nobody's recording starts an hour into itself; a clock on the wall does.
_LATEST_START_S = 3600


def read_csv(text: str) -> Export:
    """Every row below the headings; RR intervals too, where there is a column of them.

    Without a heart rate column the RR intervals are all there is, and there are no samples.
    Raises UnreadableExport where a column is missing, or no time can be read.
    """
    table = read_table(text)
    if not any(table.cells.values()):
        raise UnreadableExport(sentences.nothing_recorded(table.is_broken))
    times = read_times(table.cells)
    samples, beats = SAMPLES.empty(), BEATS.empty()
    if headings.HEART_RATE in table.cells:
        samples = columns.samples(
            _numbers(table, headings.HEART_RATE),
            times.ms,
            times.elapsed_s,
            _numbers(table, headings.CADENCE) if headings.CADENCE in table.cells else None,
        )
    if headings.RR in table.cells:
        intervals = columns.rr_in_ms(_numbers(table, headings.RR))
        known = ~np.isnan(intervals)
        beats = columns.beats(intervals[known], None if times.ms is None else times.ms[known])
    return Export(
        format="csv",
        clock=times.clock,
        samples=samples,
        beats=beats,
        remarks=tuple(_remarks(table, times)),
    )


def _numbers(table: Table, meaning: str) -> Reals:
    return reals([number(cell) for cell in table.cells[meaning]])


def _remarks(table: Table, times: Times) -> Iterator[str]:
    if table.is_broken:
        yield sentences.broken_off(len(next(iter(table.cells.values()))))
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
