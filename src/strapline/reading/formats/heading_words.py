"""The words of a heading, and the unit that it states."""

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

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


_WORDS_BY_WORTH_S = {
    86_400.0: "d day days tag tage jours dni",
    3600.0: "h hour hours std stunden heures horas ore uren",
    60.0: "min mins minute minutes minuto minutos minuut minuten minut minuta minuty minuter "
    "minuutti dk мин perc "
    "minuti 分 分钟 分鐘 分間",
    1.0: "s sec secs sek second seconds sekunde sekunden seconde secondes segundo segundos "
    "secondo secondi seconden sekunda sekundy sekund sekunder 秒 秒間",
    0.1: "ds deciseconds tenths zehntel zehntelsekunden",
    0.01: "cs centiseconds hundredths hundertstel hundertstelsekunden",
    1e-3: "ms msec msecs millis milliseconds millisekunden ミリ秒 毫秒",
    1e-6: "us μs usec microseconds",
    1e-9: "ns nanoseconds",
}
_WORTH_S = {word: worth for worth, words in _WORDS_BY_WORTH_S.items() for word in words.split()}
_PER_MINUTE_WORDS = {"bpm", "ppm", "lpm", "bmp", "min-1", "rpm", "spm"}
_PER_SECOND_WORDS = {"hz", "hertz", "s-1", "bps"}
# Of what is called like a heart rate and is none: its share, the power of its variability.
_OTHERS = {
    "%", "ms2", "s2", "ms2/hz", "nu", "pu", "au", "w", "watt", "watts", "dbm", "db", "mmhg", "kcal",
    "kj", "m", "km", "km/h", "mph", "m/s", "m/min", "km/min", "l/min", "ml/min", "kcal/min", "c",
    "°c", "°f", "g", "kg", "mv", "v",
}  # fmt: skip
# What is counted is called in many ways, and so is the time that it is counted in.
_COUNT = re.compile(
    r"(?:1|[^\W\d_]*?)(?:/|per|pro|par|por|je|in)(?P<many>[0-9]*)(?P<unit>[^\W\d_]+)"
)
_TIME = re.compile(r"(?P<many>[0-9]+(?:\.[0-9]+)?)?(?:/(?P<part>[0-9]+))?(?P<unit>[^\W\d_]+)")
_PART_OF_A_SECOND = re.compile(r"(?:s|sec)/(?P<part>[0-9]+)")
_POINT = re.compile(r"(?<![0-9])\.|\.(?![0-9])|\^")
_SCALED = re.compile(
    r"(?P<many>0\.[0-9]+|[0-9])[*x]?(?:bpm|ppm|lpm|/min)|(?:bpm|ppm|lpm|/min)[*x](?P<times>[0-9]+)"
)
_CLOCK = re.compile(r"[hmsf]+(?::[hmsf]+)+(?:[.,][a-z0-9]+)?")


@dataclass(frozen=True)
class Unit:
    """A unit and what a value in it is worth: in beats a minute, or in seconds."""

    measures: Literal["rate", "time", "time of day", "something else"]
    worth: float = 1.0


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
    return _WORD.findall(without_accents(spaced).casefold())[:_MOST_WORDS]


def without_accents(text: str) -> str:
    """The dots of ü and the circumflex of ê are left out by some programs, so count nowhere."""
    letters = unicodedata.normalize("NFKD", text)
    return "".join(c for c in letters if not unicodedata.combining(c))


def _normal(text: str) -> str:
    return unicodedata.normalize("NFKC", text[:_LONGEST])


def unit_of(text: str) -> Unit | None:
    """The unit that `text` is, such as 'S/min', 'Hz', '1/1024 s' or 'beats/15 s'; None if it is
    none."""
    bare = _bare(text)
    if bare in _PER_MINUTE_WORDS:
        return Unit("rate")
    if match := _SCALED.fullmatch(bare):
        many = float(match["many"] or match["times"])
        return Unit("rate", many if match["many"] else 1 / many) if many else None
    if bare in _PER_SECOND_WORDS:
        return Unit("rate", 60.0)
    if bare in _OTHERS:
        return Unit("something else")
    if found := _time(bare) or _count(bare):
        return found
    return Unit("time of day") if _CLOCK.fullmatch(bare) else None


def _time(bare: str) -> Unit | None:
    """A number or a part of a unit of time, such as '0.1 s' and '1/1024 s'."""
    if part := _PART_OF_A_SECOND.fullmatch(bare):
        return Unit("time", 1 / float(part["part"])) if int(part["part"]) else None
    match = _TIME.fullmatch(bare)
    worth = _WORTH_S.get(match["unit"]) if match else None
    if match is None or worth is None or (match["part"] and not match["many"]):
        return None
    many, part_of = float(match["many"] or 1), float(match["part"] or 1)
    return Unit("time", worth * many / part_of) if many and part_of else None


def _count(bare: str) -> Unit | None:
    """What is counted in so many minutes or seconds."""
    match = _COUNT.fullmatch(bare)
    worth = _WORTH_S.get(match["unit"], 0.0) if match else 0.0
    span_s = worth * float(match["many"] or 1) if match else 0.0
    return Unit("rate", 60 / span_s) if worth in (1.0, 60.0) and span_s else None


def _bare(text: str) -> str:
    """Without accents, blanks and full stops, and with powers written out."""
    folded = text.casefold().replace("²", "2").replace("⁻¹", "-1")
    letters = "".join(without_accents(folded).split())
    return _POINT.sub("", letters.replace("\u2212", "-").replace(",", "."))
