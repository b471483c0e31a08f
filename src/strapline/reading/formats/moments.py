"""Reading moments from text."""

import datetime as dt
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from strapline.ground.vocabulary import DateOrder, FileClock
from strapline.reading.formats.clock_readings import TIME_OF_DAY, ZONE, moment_at, written_moment
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.export import UndecidedExport, UnreadableExport

_EPOCH = dt.datetime(1970, 1, 1)
_EPOCH_UTC = _EPOCH.replace(tzinfo=dt.UTC)
_MILLISECOND = dt.timedelta(milliseconds=1)
# Of years of two digits, which come last.
_CENTURY = 2000

_WRITTEN_OUT = re.compile(
    r"(?P<first>\d{1,4})(?P<separator>[-/.])(?P<second>\d{1,2})(?P=separator)(?P<third>\d{1,4})"
    rf"(?:[T ,]+{TIME_OF_DAY})?\s*{ZONE}?",
    re.ASCII,
)


@dataclass(frozen=True)
class Moments:
    """Milliseconds since 1970, NaN where there is no moment; UTC or, as `clock` says, local.

    utc_offset_s
        What all of them state their zone to be ahead of UTC; None where UTC itself is all they
        state.
    """

    ms: Reals
    clock: FileClock
    utc_offset_s: int | None = None


def read_moments(texts: Sequence[str | None], dates: DateOrder | None = None) -> Moments:
    """Dates with times of day, in ISO 8601, with the year last, or with the month as a word;
    anything else is missing. The order of year, month and day is that of the whole column.

    Raises UndecidedExport where day and month cannot be told apart, and UnreadableExport where
    only some have a zone, or one date is no date in the order of another.
    """
    found = [None if text is None else _iso(text) for text in texts]
    odd = [place for place, text in enumerate(texts) if text is not None and found[place] is None]
    written_out = {
        place: match
        for place in odd
        if (match := _WRITTEN_OUT.fullmatch((texts[place] or "").strip()))
    }
    if any(len(m["first"]) == 4 and int(m["second"]) > 12 for m in written_out.values()):
        return _in_ms(_day_before_month(texts))
    if written_out:
        day_first = _is_day_first(written_out.values(), dates)
        for place, match in written_out.items():
            found[place] = _assembled(match, day_first)
    for place in odd:
        if place not in written_out:
            found[place] = written_moment(texts[place] or "")
    return _in_ms(found)


def _day_before_month(texts: Sequence[str | None]) -> Iterator[dt.datetime | None]:
    """Moments that begin with year, day and month."""
    for text in texts:
        match = _WRITTEN_OUT.fullmatch((text or "").strip().replace("T", " "))
        if match is None or len(match["first"]) < 4:
            yield None
            continue
        if int(match["third"]) > 12:
            raise UnreadableExport(
                "Some dates of the file have the day before the month and some after it; export "
                "the session again with one kind of dates."
            )
        yield _moment(match["first"], match["third"], match["second"], match)


def _in_ms(moments: Iterable[dt.datetime | None]) -> Moments:
    offsets: set[dt.timedelta | None] = set()
    milliseconds: list[float | None] = []
    for moment in moments:
        if moment is None:
            milliseconds.append(None)
            continue
        offsets.add(moment.utcoffset())
        epoch = _EPOCH_UTC if moment.tzinfo else _EPOCH
        milliseconds.append((moment - epoch) / _MILLISECOND)
    if None in offsets and len(offsets) > 1:
        raise UnreadableExport(
            "Some times in the file have a time zone and some have none; "
            "export the session again with one kind of times."
        )
    only = next(iter(offsets)) if len(offsets) == 1 else None
    clock: FileClock = FileClock.LOCAL if offsets == {None} else FileClock.UTC
    return Moments(reals(milliseconds), clock, round(only.total_seconds()) if only else None)


def _iso(text: str) -> dt.datetime | None:
    try:
        return dt.datetime.fromisoformat(text.strip())
    except ValueError:
        return None


def _is_day_first(matches: Iterable[re.Match[str]], stated: DateOrder | None) -> bool:
    """Whether day comes before month where the year comes last, told from all dates together."""
    year_last = [match for match in matches if len(match["first"]) < 4]
    pairs = {(int(match["first"]), int(match["second"])) for match in year_last}
    if any(match["separator"] == "." for match in year_last):  # only ever used day first
        return True
    if any(second > 12 for _, second in pairs):
        return False
    if all(first == second for first, second in pairs) or any(first > 12 for first, _ in pairs):
        return True
    if stated is not None:
        return stated == DateOrder.DAY_FIRST
    raise UndecidedExport(
        "The file's dates can be read day first or month first; say which in the session card "
        "(clock: dates: day_first, or month_first)."
    )


def _assembled(match: re.Match[str], day_first: bool) -> dt.datetime | None:
    first, second, third = match["first"], match["second"], match["third"]
    if len(first) == 4:
        year, month, day = first, second, third
    else:
        year, month, day = (third, second, first) if day_first else (third, first, second)
    return _moment(year, month, day, match)


def _moment(year: str, month: str, day: str, match: re.Match[str]) -> dt.datetime | None:
    if len(year) not in (2, 4):
        return None
    century = _CENTURY if len(year) == 2 else 0
    return moment_at(int(year) + century, int(month), int(day), match)
