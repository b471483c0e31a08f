"""The export that a table makes: which of its columns are a heart's, and when."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pandas as pd

from strapline.ground.tables.recordings import BEATS, SAMPLES
from strapline.reading.formats import columns, judged, sentences
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.export import Export, Hints, Stream, UnreadableExport
from strapline.reading.formats.heading import RATES, TIMES, Heading, Meaning, in_its_unit
from strapline.reading.formats.heading_words import unit_of
from strapline.reading.formats.judged import Judged
from strapline.reading.formats.number_times import filling
from strapline.reading.formats.numbers import measured
from strapline.reading.formats.rr_columns import each_in_cells, in_ms
from strapline.reading.formats.speed import speed_m_s
from strapline.reading.formats.table import Column, Table
from strapline.reading.formats.table_streams import of_columns, of_labels
from strapline.reading.formats.table_times import read_times, stamp_by
from strapline.reading.formats.time_choice import NONE_STATED, Times


def export_of(table: Table, format_name: str, hints: Hints) -> Export:
    """Every row as a sample of each heart rate; RR intervals too, where there is a column of them.

    Each column of heart rates is a stream, and so are those of each sensor that a column names.
    Without a heart rate column the RR intervals are all there is, and there are no samples.
    Raises UnreadableExport where no time can be read, or nothing is a heart's.
    """
    if not table.length:
        raise UnreadableExport(sentences.nothing_recorded(table.is_broken))
    table.columns = list(_in_stated_unit(table))
    times = _times(table, hints)
    rates, beats, said = _judged(table, times, hints)
    samples, streams = _samples(table, times, rates)
    if samples.empty and beats.empty:
        reasons = " ".join(said)
        raise UnreadableExport(
            f"{reasons} Export the session again with heart rates in bpm or RR intervals in ms."
            if reasons
            else sentences.nothing_recorded(table.is_broken)
        )
    return Export(
        format=format_name,
        clock=times.clock,
        samples=samples,
        beats=beats,
        streams=streams,
        times_of_day=times.are_of_day,
        unit_s=times.unit_s,
        utc_offset_s=times.utc_offset_s,
        stamp=stamp_by([c.cells for c in table.all_of(Meaning.END)], times, hints.dates),
        unread=table.unread,
        broken_off=sentences.broken_off(table.is_broken, table.length),
        remarks=(*table.remarks, *_remarks(table, times), *times.said, *said),
    )


def _in_stated_unit(table: Table) -> Iterator[Column]:
    """The columns, those of heart rates in the unit that each row repeats in one of its own, or
    that is stated above them."""
    units = table.first_of(Meaning.UNIT)
    stated = {cell for cell in units.cells if cell} if units else set()
    unit = unit_of(stated.pop()) if len(stated) == 1 else table.unit
    for column in table.columns:
        if column.heading.meaning in RATES and unit:
            heading = in_its_unit(column.heading, unit)
            yield replace(column, heading=heading or Heading(Meaning.UNIT))
        else:
            yield column


def _times(table: Table, hints: Hints) -> Times:
    stated = table.all_of(*TIMES, Meaning.ZONE)
    if not table.all_of(*TIMES) and table.all_of(Meaning.RR):
        return NONE_STATED  # RR intervals are a clock of their own
    times = read_times([(column.heading, column.cells) for column in stated], hints.dates)
    if table.length_s is not None:
        return filling(times, table.length_s, "by the length that the file states")
    intervals = table.first_of(Meaning.RR)
    if intervals is None:
        return times
    rr_ms, _ = in_ms(_numbers(intervals), intervals.heading.worth)
    return filling(times, float(np.nansum(rr_ms)) / 1000, "by the sum of its RR intervals")


def _judged(
    table: Table, times: Times, hints: Hints
) -> tuple[dict[int, Reals], pd.DataFrame, list[str]]:
    """The heart rates of each column that has some, by its place among the columns; the RR
    intervals; and what there is to say of what was found."""
    said: list[str | None] = []
    rates: dict[int, Reals] = {}
    rr_ms: Reals | None = None
    of_beats = times
    for column in _heart_rates(table, hints):
        found = judged.rates(_numbers(column), column.heading.worth, times.seconds)
        said.append(found.said)
        if found.are_beats:
            rr_ms = found.values
        elif found.values is not None and not times.are_none:
            rates[_place(table, column)] = found.values
    if (intervals := table.first_of(Meaning.RR)) is not None:
        unit_s = intervals.heading.worth
        values, ends = each_in_cells(intervals.cells, unit_s, times)
        found = judged.intervals(values, unit_s, ends.seconds)
        if found.are_beats:
            rr_ms, of_beats = found.values, ends
        elif found.values is not None and (rates or values.size != table.length):
            found = Judged(None, judged.LATEST_BESIDE_RATES)
        elif found.values is not None:
            rates[_place(table, intervals)] = found.values
        said.insert(0, found.said)
    beats = BEATS.empty() if rr_ms is None else _beats(rr_ms, of_beats)
    return rates, beats, [sentence for sentence in said if sentence]


def _place(table: Table, column: Column) -> int:
    return next(place for place, one in enumerate(table.columns) if one is column)


def _heart_rates(table: Table, hints: Hints) -> list[Column]:
    """The column asked for, or else all, those first whose heading is a known word, and then those
    with the most values."""
    found = sorted(
        table.all_of(Meaning.HEART_RATE),
        key=lambda column: (
            not (column.heading.is_exact and column.count),
            -column.count,
            column.heading.rank,
        ),
    )
    if hints.heart_rate:
        return [_asked_for(hints.heart_rate, found)]
    return [column for place, column in enumerate(found) if column.count or place == 0]


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


def _samples(
    table: Table, times: Times, rates: dict[int, Reals]
) -> tuple[pd.DataFrame, tuple[Stream, ...]]:
    """A row of the table is a sample of each of its heart rates, or of that of the sensor it
    names."""
    if not rates:
        return SAMPLES.empty(), ()
    beside = _beside(table, times)
    labels = table.first_of(Meaning.SENSOR)
    if len(rates) == 1 and labels is not None:
        values = next(iter(rates.values()))
        numbers, streams = of_labels(labels.cells, values)
        return columns.samples(values, times.ms, times.elapsed_s, **beside, stream=numbers), streams
    streams = of_columns([table.columns[place].text for place in rates])
    frames = [
        columns.samples(values, times.ms, times.elapsed_s, **beside, stream=number)
        for number, values in enumerate(rates.values(), 1)
    ]
    return pd.concat(frames, ignore_index=True) if len(frames) > 1 else frames[0], streams


def _beside(table: Table, times: Times) -> dict[str, Reals | None]:
    """What the rows measured besides. Speed is by its own column, else by that of the distance."""
    values = {
        str(meaning): _in_its_unit(table.first_of(meaning))
        for meaning in (Meaning.CADENCE, Meaning.SPEED, Meaning.POWER)
    }
    distance_m = _in_its_unit(table.first_of(Meaning.DISTANCE))
    if values[Meaning.SPEED] is None and distance_m is not None and times.seconds is not None:
        values[Meaning.SPEED] = speed_m_s(times.seconds, distance_m)
    return values


def _in_its_unit(column: Column | None) -> Reals | None:
    return None if column is None else _numbers(column) * (column.heading.worth or 1.0)


def _beats(rr_ms: Reals, times: Times) -> pd.DataFrame:
    known = ~np.isnan(rr_ms)
    if not known.any():
        return BEATS.empty()
    late = np.zeros(rr_ms.shape)
    if times.seconds is not None and judged.start_of_each(rr_ms, times.seconds):
        late = rr_ms
    ms = None if times.ms is None else (times.ms + late)[known]
    elapsed_s = None if times.elapsed_s is None else (times.elapsed_s + late / 1000)[known]
    return columns.beats(rr_ms[known], ms, elapsed_s)


def _numbers(column: Column) -> Reals:
    return reals([measured(value) for value in column.cells])


def _remarks(table: Table, times: Times) -> Iterator[str]:
    if table.long_rows:
        rows = sentences.counted(table.long_rows, "row")
        yield f"Cells beyond the headings: in {rows}; decimal commas may be the reason."
    missing = 0 if times.seconds is None else int(np.isnan(times.seconds).sum())
    if missing:
        yield f"No time that can be read: in {sentences.counted(missing, 'row')}."
