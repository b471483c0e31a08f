"""Moments whose month is a word, such as 'Sun Sep 25 06:00:22 PDT 2011'."""

import datetime as dt
import re
import unicodedata

from strapline.reading.formats.clock_readings import HALF_OF_DAY, hour_of_day, zone_of

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
    r"(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<s>\d{2})(?:[.,](?P<fraction>\d+))?)?"
    rf"{HALF_OF_DAY}(?:\s*(?P<zone>[A-Za-z]{{1,5}}|(?:GMT|UTC)?[+-]\d{{2}}:?\d{{2}}))?"
    r"(?:\s+(?P<year_last>\d{4}))?"
)
_LONGEST = 60


def written_moment(text: str) -> dt.datetime | None:
    """The moment that `text` writes out; None where it writes none, or in an unknown zone."""
    match = _WRITTEN.fullmatch(text.strip()) if len(text) <= _LONGEST else None
    year = match and (match["year"] or match["year_last"])
    month = match and _month(match["month"] or match["leading_month"])
    if not match or not year or not month:
        return None
    try:
        return dt.datetime(
            int(year), month, int(match["day"] or match["day_second"]),
            hour_of_day(int(match["hour"]), match["half"]), int(match["minute"]),
            int(match["s"] or 0), int((match["fraction"] or "0")[:6].ljust(6, "0")),
            tzinfo=zone_in(match["zone"]),
        )  # fmt: skip
    except ValueError:
        return None


def _month(word: str) -> int | None:
    letters = unicodedata.normalize("NFKD", word.casefold())
    bare = "".join(letter for letter in letters if not unicodedata.combining(letter))
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
