"""The words of a heading, and the unit that it states."""

import re
import unicodedata
from collections.abc import Iterable, Iterator

from strapline.reading.formats.units import Unit, unit_of

BRACKETS = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
_HUMP = re.compile(r"(?<=[a-z])(?=[A-Z])")
_WORD = re.compile(r"[^\W_]+")
_RATE_AT_END = re.compile(
    r"(?P<stem>.+?)(?:[\s_,]+(?:(?:in|en)\s+)?(?P<unit>\S*\s?/\s?[\d\s]*\S+)|"
    r"[\s_,]*(?P<count>(?:/|(?<![^\W_])(?:per|pro|par|por))[\s_]*\d+[\s_]*[^\W_]+))",
)
# Of what nobody knows how long it is.
_UNKNOWN_UNIT = re.compile(r"[^/]*/\s*\d+\s*[^\W\d_].*")
# What is called like a heart rate was averaged, or counted, over the time that stands in it.
STRETCH = re.compile(r"(?i)(?:^|[\W_])(?:[2-9]|\d{2,3})[\s_-]?(?:s|sec|sek|seg|min)(?![^\W_])")
_LONGEST = 200
_MOST_WORDS = 12


def without_unit(heading: str) -> tuple[str, Unit | None]:
    """The heading, and the unit that stands in brackets in it or, with a stroke, at its end."""
    text = _normal(heading)
    for found in BRACKETS.finditer(text):
        inside = found.group()[1:-1]
        unit = unit_of(inside)
        if unit is None and _UNKNOWN_UNIT.fullmatch(inside):
            unit = Unit("something else")
        if unit is not None:
            return f"{text[: found.start()]} {text[found.end() :]}", unit
    ending = _RATE_AT_END.fullmatch(text.strip())
    unit = unit_of(ending["unit"] or ending["count"].replace("_", "")) if ending else None
    if ending is None or unit is None:
        return text, None
    return ending["stem"], unit


def singulars(
    stems: Iterable[tuple[list[str], Unit | None]],
) -> Iterator[tuple[list[str], Unit | None]]:
    """Each stem, and also without the s of a plural: lists in JSON are called `times`."""
    for stem, unit in stems:
        yield stem, unit
        if stem and len(stem[-1]) > 2 and stem[-1].endswith("s"):
            yield [*stem[:-1], stem[-1][:-1]], unit


def squeezed(word: str) -> str:
    """The words in one."""
    return "".join(words_of(word))


def words_of(text: str) -> list[str]:
    """The words of a heading, in small letters and without accents."""
    spaced = _HUMP.sub(" ", _normal(text))
    # The dots of ü and the circumflex of ê are left out by some programs, so count nowhere.
    letters = (c for c in unicodedata.normalize("NFKD", spaced) if not unicodedata.combining(c))
    return _WORD.findall("".join(letters).casefold())[:_MOST_WORDS]


def _normal(text: str) -> str:
    return unicodedata.normalize("NFKC", text[:_LONGEST])
