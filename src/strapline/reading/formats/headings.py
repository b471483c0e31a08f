"""What the headings of a table mean, told by the words of `headings.yaml`."""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml

TIME, DATE, ELAPSED = "time", "date", "elapsed"
HEART_RATE, CADENCE, RR = "heart_rate", "cadence", "rr_interval"
MEANINGS = (TIME, DATE, ELAPSED, HEART_RATE, CADENCE, RR)

_TIMES = {TIME, DATE, ELAPSED, RR}
_BRACKETS = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
_HUMP = re.compile(r"(?<=[a-z])(?=[A-Z])")
_WORD = re.compile(r"[^\W_]+")
_LONGEST = 200
_LONGEST_UNIT = 3


@dataclass(frozen=True)
class Heading:
    """What one heading means.

    rank
        The lower, the sooner a column is used among others of its meaning.
    is_exact
        Whether the whole heading is a known word; else a word stands somewhere in it.
    unit_s
        The unit of time it states, in seconds.
    is_utc
        Whether it says that times are in UTC.
    """

    meaning: str
    rank: int = 0
    is_exact: bool = True
    unit_s: float | None = None
    is_utc: bool = False


class Headings:
    """The words that headings are told by."""

    def __init__(self, table: Mapping[str, Any]) -> None:
        self._table = table
        self._words = {
            _squeezed(word): (meaning, rank)
            for meaning in reversed(MEANINGS)
            for rank, word in reversed(list(enumerate(table[meaning])))
            if _squeezed(word)  # a heading without letters is not told by a word without any
        }
        self._seconds = {_squeezed(unit): float(s) for unit, s in table["seconds_in"].items()}
        self._rate_units = set(map(_squeezed, table["rate_units"]))
        self._not_samples = set(map(_squeezed, table["not_samples"]))
        self._others = self._not_samples | set(map(_squeezed, table["other_quantities"]))
        self._containers = set(map(_squeezed, table["containers"]))

    def and_more(self, words: Mapping[str, Sequence[str]]) -> "Headings":
        """These words, and before them more `words` by meaning; one here loses any other."""
        said = {_squeezed(word) for more in words.values() for word in more}
        if not said:
            return self
        known = {
            meaning: [
                *words.get(meaning, ()),
                *(word for word in self._table[meaning] if _squeezed(word) not in said),
            ]
            for meaning in MEANINGS
        }
        return Headings({**self._table, **known})

    def read(self, heading: str) -> Heading | None:
        """What `heading` means; None where it says nothing Strapline uses."""
        tokens = _tokens(heading)
        for words in _singulars(self._stems(heading, tokens)):
            meaning, rank = self._words.get("".join(words), ("", 0))
            if meaning:
                unit_s = self._seconds.get(tokens[-1]) if meaning in _TIMES else None
                is_utc = not {"utc", "gmt"}.isdisjoint(tokens)
                return Heading(meaning, rank, unit_s=unit_s, is_utc=is_utc)
        return Heading(HEART_RATE, is_exact=False) if self._is_a_heart_rate(tokens) else None

    def meaning_of(self, heading: str) -> str | None:
        found = self.read(heading)
        return found.meaning if found else None

    def is_of_something_else(self, name: str) -> bool:
        """Whether `name` speaks of another quantity, or of a summary."""
        return not self._others.isdisjoint(_tokens(name))

    def topic(self, keys: Sequence[str]) -> str:
        """The innermost of `keys` that says something; empty if none does."""
        telling = (key for key in reversed(keys) if _squeezed(key) not in self._containers)
        return next(telling, "")

    def _stems(self, heading: str, tokens: list[str]) -> Iterator[list[str]]:
        """The heading as it stands, without what is in brackets, and without its unit."""
        yield tokens
        bare = _tokens(_BRACKETS.sub(" ", _normal(heading)))
        if bare and bare != tokens and self._not_samples.isdisjoint(tokens):
            yield bare
        for length in range(min(_LONGEST_UNIT, len(tokens) - 1), 0, -1):
            stem, unit = tokens[:-length], "".join(tokens[-length:])
            meaning, _ = self._words.get("".join(stem), ("", 0))
            # "HR min" is the lowest heart rate, but "time min" is time in minutes.
            is_unit = unit in self._seconds if meaning in _TIMES else unit in self._rate_units
            if is_unit and (meaning in _TIMES or unit not in self._not_samples):
                yield stem

    def _is_a_heart_rate(self, tokens: list[str]) -> bool:
        """Whether a word for the heart rate stands among others, such as which sensor it is."""
        if not self._not_samples.isdisjoint(tokens):
            return False
        places = range(len(tokens))
        parts = ("".join(tokens[start : end + 1]) for start in places for end in places[start:])
        return any(self._words.get(part, ("", 0))[0] == HEART_RATE for part in parts)


@cache
def shipped() -> Headings:
    """The words that come with Strapline."""
    text = Path(__file__).with_name("headings.yaml").read_text(encoding="utf-8")
    return Headings(yaml.safe_load(text))


def _singulars(stems: Iterable[list[str]]) -> Iterator[list[str]]:
    """Each stem, and also without the s of a plural: lists in JSON are called `times`."""
    for stem in stems:
        yield stem
        if stem and len(stem[-1]) > 2 and stem[-1].endswith("s"):
            yield [*stem[:-1], stem[-1][:-1]]


def _squeezed(word: str) -> str:
    return "".join(_tokens(word))


def _tokens(text: str) -> list[str]:
    spaced = _HUMP.sub(" ", _normal(text))
    # The dots of ü and the circumflex of ê are left out by some programs, so count nowhere.
    letters = (c for c in unicodedata.normalize("NFKD", spaced) if not unicodedata.combining(c))
    return _WORD.findall("".join(letters).casefold())[:12]


def _normal(text: str) -> str:
    return unicodedata.normalize("NFKC", text[:_LONGEST])
