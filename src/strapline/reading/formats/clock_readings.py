"""Readings of clocks: their signs, hours of half a day, zones, and months that are words."""

import datetime as dt
import re
from collections.abc import Sequence

from strapline.reading.formats.heading_words import without_accents

HALF_OF_DAY = r"(?:[\s\u00a0\u202f]*(?P<half>[AaPp])\.?[\s\u00a0\u202f]?[Mm]\.?)?"
TIME_OF_DAY = (
    r"(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<s>\d{2})(?:[.,](?P<fraction>\d+))?)?" + HALF_OF_DAY
)
ZONE = r"(?P<zone>[A-Za-z]{1,5}|(?:GMT|UTC)?[+-]\d{2}:?\d{2})"


def hour_of_day(hour: int, half: str | None) -> int:
    """The hour of 24, `half` being the A of AM or the P of PM; else ValueError."""
    if half is None:
        return hour
    if not 1 <= hour <= 12:
        raise ValueError(hour)
    return hour % 12 + (12 if half in "Pp" else 0)


def zone_of(text: str | None) -> dt.timezone | None:
    """The zone of 'Z', 'UTC', '+0200' or '+02:00'."""
    if text is None:
        return None
    if text[0] not in "+-":
        return dt.UTC
    offset = dt.timedelta(hours=int(text[1:3]), minutes=int(text[-2:]))
    return dt.timezone(-offset if text[0] == "-" else offset)


_WITH_LETTERS = re.compile(
    r"(?:(?P<hours>\d{1,4})\s?(?:h|hrs?|std|hours?)\.?\s*)?"
    r"(?:(?P<minutes>\d{1,4})\s?(?:m|mins?|minutes?|')?\.?\s*)?"
    r"(?:(?P<seconds>\d{1,2}(?:[.,]\d+)?)\s?(?:s|secs?|sek|seconds?|\"|'')?\.?)?",
    re.IGNORECASE | re.ASCII,
)
_DOTTED = re.compile(
    r"(\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}[ T,]+)?([01]?\d|2[0-3])\.([0-5]\d)\."
    r"([0-5]\d(?:,\d+)?(?:\s?[AaPp]\.?[Mm]\.?)?)",
    re.ASCII,
)


_TWO_DECIMALS = re.compile(r"\d{1,4}[.,]([0-5]\d)", re.ASCII)
# Hundredths go to 99.
_FEWEST_READINGS, _FEWEST_DIFFERENT = 100, 40
MINUTES_AND_SECONDS = (
    "What stands behind the point of its times never exceeds 59, so they are minutes and seconds."
)


def are_minutes_and_seconds(cells: Sequence[str | None]) -> bool:
    """Whether numbers such as 12.05 are 12 minutes and 5 seconds."""
    stated = [cell for cell in cells if cell]
    if len(stated) < _FEWEST_READINGS or not _TWO_DECIMALS.fullmatch(stated[0]):
        return False
    matches = [_TWO_DECIMALS.fullmatch(cell) for cell in stated]
    return all(matches) and len({m[1] for m in matches if m}) >= _FEWEST_DIFFERENT


def with_colons(cells: Sequence[str | None]) -> Sequence[str | None]:
    """Readings such as '7h35m12s', 'PT12M5S', '12 min 05 s' and, where they differ from row to row,
    '7.35.12', written 7:35:12; other columns as they are."""
    stated = [cell for cell in cells if cell]
    if not stated:
        return cells
    if _DOTTED.fullmatch(stated[0]) and len(set(stated)) > len(stated) / 2:
        return [_DOTTED.sub(r"\1\2:\3:\4", cell) if cell else cell for cell in cells]
    if stated[0].startswith("PT"):  # ISO 8601
        return [_from_letters(cell.removeprefix("PT")) if cell else cell for cell in cells]
    if not stated[0][:1].isdigit() or not re.search(r"(?i)\d\s?(?:h|m|')", stated[0]):
        return cells
    return [_from_letters(cell) if cell else cell for cell in cells]


def _from_letters(cell: str) -> str:
    match = _WITH_LETTERS.fullmatch(cell.strip()) if len(cell) < 40 else None
    if match is None or not any(match.groups()):
        return cell
    return f"{match['hours'] or 0}:{int(match['minutes'] or 0):02}:{match['seconds'] or 0:0>2}"


# By their first letters, in the languages that headings are known in, without accents.
_MONTHS = (
    ("jan", "ene", "gen", "sty"), ("feb", "fev", "fevr", "lut"), ("mar", "mrz", "maa", "mrt"),
    ("apr", "avr", "abr", "kwi"), ("may", "mai", "mag", "mei", "maj"),
    ("jun", "juin", "giu", "cze"), ("jul", "juil", "lug", "lip"), ("aug", "aou", "ago", "sie"),
    ("sep", "set", "wrz"), ("oct", "okt", "out", "ott", "paz"), ("nov", "lis"),
    ("dec", "dez", "dic", "des", "gru"),
)  # fmt: skip
_MONTH_OF = {word: number for number, words in enumerate(_MONTHS, 1) for word in words}
# Hours ahead of UTC: RFC 5322 section 4.3, and Europe's zones by the tz database (from memory).
_ZONES = {
    "est": -5, "edt": -4, "cst": -6, "cdt": -5, "mst": -7, "mdt": -6, "pst": -8, "pdt": -7,
    "wet": 0, "west": 1, "cet": 1, "cest": 2, "mez": 1, "mesz": 2, "eet": 2, "eest": 3, "bst": 1,
}  # fmt: skip
_WRITTEN = re.compile(
    r"(?:[^\W\d_]{2,12}\.?,?\s+)?"
    r"(?:(?P<day>\d{1,2})\.?(?:\s+|-)(?P<month>[^\W\d_]{3,12})\.?|"
    r"(?P<leading_month>[^\W\d_]{3,12})\.?\s+(?P<day_second>\d{1,2})),?"
    r"(?:(?:\s+|-)(?P<year>\d{4}),?)?\s+(?:at\s+)?"
    rf"{TIME_OF_DAY}(?:\s*{ZONE})?(?:\s+(?P<year_last>\d{{4}}))?"
)
_LONGEST = 60


def written_moment(text: str) -> dt.datetime | None:
    """The moment that `text` writes out; None where it writes none, or in an unknown zone."""
    match = _WRITTEN.fullmatch(text.strip()) if len(text) <= _LONGEST else None
    year = match and (match["year"] or match["year_last"])
    month = match and _month(match["month"] or match["leading_month"])
    if not match or not year or not month:
        return None
    return moment_at(int(year), month, int(match["day"] or match["day_second"]), match)


def moment_at(year: int, month: int, day: int, clock: re.Match[str]) -> dt.datetime | None:
    """The moment of a day at the reading that TIME_OF_DAY found; None where the calendar or the
    clock has none such, or the zone is unknown."""
    try:
        return dt.datetime(
            year, month, day,
            hour_of_day(int(clock["hour"] or 0), clock["half"]), int(clock["minute"] or 0),
            int(clock["s"] or 0), int((clock["fraction"] or "0")[:6].ljust(6, "0")),
            tzinfo=zone_in(clock["zone"]),
        )  # fmt: skip
    except ValueError:  # a 31st of June, say
        return None


def _month(word: str) -> int | None:
    bare = without_accents(word.casefold())
    return _MONTH_OF.get(bare[:4]) or _MONTH_OF.get(bare[:3])


def zone_in(text: str | None) -> dt.tzinfo | None:
    """The zone of 'CET', 'MESZ', 'GMT+02:00' and what `zone_of` reads. Raises ValueError for one
    that nobody knows."""
    if text is None:
        return None
    word = text.casefold()
    if word in _ZONES:
        return dt.timezone(dt.timedelta(hours=_ZONES[word]))
    bare = word.removeprefix("gmt").removeprefix("utc")
    if bare in ("", "z") or bare[0] in "+-":
        return zone_of(bare.upper() or "Z")
    raise ValueError(text)
