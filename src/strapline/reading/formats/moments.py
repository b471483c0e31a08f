"""Reading moments from text."""

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from strapline.ground.vocabulary import DateOrder, FileClock
from strapline.reading.formats.columns import Reals, reals
from strapline.reading.formats.export import UndecidedExport, UnreadableExport

_EPOCH = dt.datetime(1970, 1, 1)
_EPOCH_UTC = _EPOCH.replace(tzinfo=dt.UTC)
_MILLISECOND = dt.timedelta(milliseconds=1)

HALF_OF_DAY = r"(?:[\s\u00a0\u202f]*(?P<half>[AaPp])\.?[\s\u00a0\u202f]?[Mm]\.?)?"
_WRITTEN_OUT = re.compile(
    r"(?P<first>\d{1,4})(?P<separator>[-/.])(?P<second>\d{1,2})(?P=separator)(?P<third>\d{1,4})"
    r"(?:[T ,]+(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<s>\d{2})(?:[.,](?P<fraction>\d+))?)?"
    rf"{HALF_OF_DAY})?\s*(?P<zone>Z|UTC|GMT|[+-]\d{{2}}:?\d{{2}})?",
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
    """Dates with times of day, in ISO 8601 or with the year last; anything else is missing.

    Raises UndecidedExport where day and month cannot be told apart, and UnreadableExport where
    only some have a zone.
    """
    found = [None if text is None else _iso(text) for text in texts]
    written_out = {
        place: match
        for place, text in enumerate(texts)
        if text is not None and found[place] is None
        if (match := _WRITTEN_OUT.fullmatch(text.strip()))
    }
    if written_out:
        day_first = _is_day_first(written_out.values(), dates)
        for place, match in written_out.items():
            found[place] = _assembled(match, day_first)
    return _in_ms(found)


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
    if len(year) < 4:
        return None
    microsecond = (match["fraction"] or "0")[:6].ljust(6, "0")
    try:
        hour = hour_of_day(int(match["hour"] or 0), match["half"])
        return dt.datetime(
            int(year), int(month), int(day),
            hour, int(match["minute"] or 0), int(match["s"] or 0), int(microsecond),
            tzinfo=_zone(match["zone"]),
        )  # fmt: skip
    except ValueError:  # a 31st of June, say
        return None


def hour_of_day(hour: int, half: str | None) -> int:
    """The hour of 24, `half` being the A of AM or the P of PM; else ValueError."""
    if half is None:
        return hour
    if not 1 <= hour <= 12:
        raise ValueError(hour)
    return hour % 12 + (12 if half in "Pp" else 0)


def _zone(text: str | None) -> dt.timezone | None:
    if text is None:
        return None
    if text[0] not in "+-":
        return dt.UTC
    offset = dt.timedelta(hours=int(text[1:3]), minutes=int(text[-2:]))
    return dt.timezone(-offset if text[0] == "-" else offset)
