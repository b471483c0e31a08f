"""The times of a table, in whichever way it states them."""

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial

import numpy as np

from strapline.ground.records.card import Stamp
from strapline.ground.vocabulary import DateOrder, FileClock
from strapline.reading.formats import sentences
from strapline.reading.formats.clock_readings import (
    HALF_OF_DAY,
    MINUTES_AND_SECONDS,
    are_minutes_and_seconds,
    hour_of_day,
    with_colons,
)
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.export import UnreadableExport
from strapline.reading.formats.heading import MEANINGS, Heading, Meaning
from strapline.reading.formats.moments import read_moments
from strapline.reading.formats.number_times import DAY_S, LATEST_START_S, times_of_numbers
from strapline.reading.formats.numbers import measured, number
from strapline.reading.formats.parts_of_times import Placed, in_one
from strapline.reading.formats.time_choice import GOING_ON, Times, chosen, course

Cells = Sequence[str | None]

_CELLS_LOOKED_AT = 200
_CLOCK = re.compile(
    rf"(?:(?P<hours>\d+):)?(?P<minutes>\d{{1,3}}):(?P<seconds>\d{{2}}(?:[.,]\d*)?){HALF_OF_DAY}",
    re.ASCII,
)
_TIME_OF_DAY = re.compile(
    rf"\d{{1,2}}:\d{{2}}(:\d{{2}}([.,]\d+)?)?{HALF_OF_DAY}\s*([A-Z]{{1,5}}|[+-]\d{{2}}:?\d{{2}})?",
    re.ASCII,
)
_DATE_ONLY = re.compile(r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}", re.ASCII)
_NO_YEAR = re.compile(r"\d{1,2}[-/.]\d{1,2}\.?", re.ASCII)
_NEAR_S = 60
_WITHOUT_YEAR = "Its dates have no year, and are not used."


def read_times(columns: Sequence[tuple[Heading, Cells]], dates: DateOrder | None) -> Times:
    """The best times that the columns of times, dates and times elapsed give.

    Times that rise with the rows are better than others, and those than times that stand still;
    moments in UTC are better than those on a clock on the wall, and those than times elapsed;
    among equals the first counts. Raises UnreadableExport where none can be read, or none moves.
    """
    found: list[Times] = []
    refusals: list[UnreadableExport] = []
    for place, read in _ways(in_one(columns), dates):
        try:
            times = replace(read(), place=place)
        except UnreadableExport as refusal:
            refusals.append(refusal)
            continue
        if not times.are_all_missing:
            found.append(times)
            if times.clock == FileClock.UTC and course(times.seconds) == "each later":
                break
    if not found:
        raise refusals[0] if refusals else UnreadableExport(sentences.NO_TIMES)
    best = chosen(found)
    bare = best.clock == FileClock.ELAPSED and any(
        _mostly(cells, _NO_YEAR.fullmatch)
        for heading, cells in columns
        if heading.meaning == Meaning.DATE
    )
    return replace(best, said=(*best.said, _WITHOUT_YEAR)) if bare else best


def stamp_by(ends: Sequence[Cells], times: Times, dates: DateOrder | None) -> Stamp | None:
    """At the start, where a column states when each row's time ends."""
    for cells in ends:
        with suppress(UnreadableExport):
            stated = read_times([(Heading(Meaning.TIME), cells)], dates)
            if stated.clock != times.clock or stated.seconds is None or times.seconds is None:
                continue
            lasts = stated.seconds - times.seconds
            known = lasts[np.isfinite(lasts)]
            return "start" if known.size and np.median(known) > 0 else None
    return None


def _ways(
    columns: Sequence[Placed], dates: DateOrder | None
) -> Iterator[tuple[int, Callable[[], Times]]]:
    """The ways to read the times, the likeliest first, each with the place of its column."""
    by_rank = sorted(columns, key=lambda one: (MEANINGS.index(one[1].meaning), one[1].rank))
    in_order = [(place, heading, with_colons(cells)) for place, heading, cells in by_rank]
    days = next((cells for _, heading, cells in in_order if _are_days(heading, cells)), None)
    for place, heading, cells in in_order:
        times = _since_midnight(cells, heading.worth) if heading.since_midnight else cells
        if (
            days is not None
            and heading.meaning == Meaning.TIME
            and _mostly(times, _TIME_OF_DAY.fullmatch)
        ):
            yield place, partial(_moments, _joined(days, times), heading, dates)
    for place, heading, cells in in_order:
        yield place, partial(_read, cells, heading, dates)


def _are_days(heading: Heading, cells: Cells) -> bool:
    is_day = heading.meaning == Meaning.DATE
    return is_day or _mostly(cells, _DATE_ONLY.fullmatch)


def length_in(text: str) -> float | None:
    """A length of time in seconds, such as 0:22:00, 22 min 0 s or 1320."""
    if not text[:1].isdigit():
        return None
    elapsed_s = _read(with_colons([text]), Heading(Meaning.ELAPSED, worth=1.0), None).elapsed_s
    return None if elapsed_s is None or np.isnan(elapsed_s[0]) else float(elapsed_s[0])


def are_clock_readings(cells: Cells) -> bool:
    """Whether most are a clock's or a stop watch's, and they go on from row to row."""
    read = with_colons(cells)
    if not _mostly(read, _CLOCK.fullmatch):
        return False
    return course(_read(read, Heading(Meaning.ELAPSED), None).seconds) in GOING_ON


def _since_midnight(cells: Cells, unit_s: float | None) -> Cells:
    """Numbers as times of day."""
    seconds = [measured(cell) * (unit_s or 1) for cell in cells]
    return [
        f"{int(s // 3600):02}:{int(s // 60 % 60):02}:{s % 60:06.3f}" if 0 <= s < DAY_S else None
        for s in seconds
    ]


def _joined(days: Cells, times: Cells) -> Cells:
    pairs = zip(days, times, strict=True)
    return [f"{day} {time}" if day and time else None for day, time in pairs]


def _read(cells: Cells, heading: Heading, dates: DateOrder | None) -> Times:
    if heading.since_midnight:
        cells = _since_midnight(cells, heading.worth)
    if _mostly(cells, lambda cell: not np.isnan(measured(cell))):
        values = reals([measured(cell) for cell in cells])
        if heading.worth is None and are_minutes_and_seconds(cells):
            minutes = np.floor(values)
            elapsed_s = 60 * minutes + np.round(100 * (values - minutes))
            return Times(FileClock.ELAPSED, elapsed_s=elapsed_s, said=(MINUTES_AND_SECONDS,))
        return times_of_numbers(values, heading.worth)
    if _mostly(cells, _CLOCK.fullmatch):
        elapsed_s = _going_on(reals([_clock_s(c) for c in cells]))
        are_of_day = heading.meaning != Meaning.ELAPSED and _are_of_day(elapsed_s)
        return Times(
            FileClock.ELAPSED,
            elapsed_s=elapsed_s,
            are_of_day=are_of_day,
            utc_offset_s=0 if heading.is_utc else None,
        )
    # A day without a time says nothing of when within it.
    moments = [None if cell and _DATE_ONLY.fullmatch(cell) else cell for cell in cells]
    return _moments(moments, heading, dates)


def _mostly(cells: Cells, is_so: Callable[[str], object]) -> bool:
    """Whether more than half of the first cells are so: rows of units or sums may be among them."""
    known = [cell for cell in cells[:_CELLS_LOOKED_AT] if cell]
    return sum(map(bool, map(is_so, known))) > len(known) / 2


def _are_of_day(elapsed_s: Reals) -> bool:
    return bool(np.isfinite(elapsed_s).any() and np.nanmin(elapsed_s) > LATEST_START_S)


def _clock_s(cell: str | None) -> float | None:
    match = _CLOCK.fullmatch(cell) if cell else None
    if match is None or len(cell or "") > 40:
        return None
    hours, half = int(match["hours"] or 0), match["half"]
    try:
        hours = hour_of_day(hours, half)
    except ValueError:
        return None
    return 3600 * hours + 60 * int(match["minutes"]) + number(match["seconds"])


def _going_on(seconds: Reals) -> Reals:
    """Times of day of a night go back by nearly a day once: that is a day on. So is it an hour on
    where a clock without its hours begins again."""
    known = np.isfinite(seconds)
    shown = seconds[known]
    before = np.concatenate([shown[:1], shown[:-1]])
    is_of_day = (shown - before < -DAY_S / 2) & (shown < DAY_S)
    is_of_hour = (before >= 3600 - _NEAR_S) & (before < 3600) & (shown < _NEAR_S)
    later = np.zeros(len(seconds))
    later[known] = np.cumsum(DAY_S * is_of_day + 3600 * is_of_hour)
    return seconds + later


def _moments(texts: Cells, heading: Heading, dates: DateOrder | None) -> Times:
    moments = read_moments(texts, dates)
    clock: FileClock = FileClock.UTC if heading.is_utc else moments.clock
    return Times(clock, ms=moments.ms, utc_offset_s=moments.utc_offset_s)
