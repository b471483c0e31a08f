"""What the headings of a table mean, told by the words of `headings.yaml`."""

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from strapline.reading.formats.heading import (
    BESIDE,
    MEANINGS,
    OF_TIME,
    Heading,
    Meaning,
    in_its_unit,
)
from strapline.reading.formats.heading_words import (
    BRACKETS,
    STRETCH,
    Unit,
    singulars,
    squeezed,
    unit_of,
    without_unit,
    words_of,
)

# What is told beside the power of the variability at high frequencies, which is called HF too.
_VARIABILITY = {"lf", "vlf", "ulf", "rmssd", "sdnn", "pnn50", "nn50", "sdsd"}
_LONGEST_UNIT = 3
_LAST = 1000
_UTC = {"utc", "gmt"}
_MIDNIGHTS = {
    "midnight", "mitternacht", "minuit", "medianoche", "mezzanotte", "noite", "middernacht",
    "połnocy", "midnatt",
}  # fmt: skip
# What a value is worth in m/s, m and W, by the letters of its unit; in these where it has none.
_WORDS_BY_WORTH = {
    Meaning.SPEED: {
        1.0: "ms mps", 1 / 3.6: "kmh kph kmph kmt kmu", 0.44704: "mph", 1852 / 3600: "kn knots",
    },
    Meaning.DISTANCE: {1.0: "m meters metres", 1000.0: "km", 1609.344: "mi miles"},
    Meaning.POWER: {1.0: "w watt watts"},
    Meaning.END: {1.0: "utc"},
}  # fmt: skip
_WORTH = {
    meaning: {"": 1.0} | {word: worth for worth in units for word in units[worth].split()}
    for meaning, units in _WORDS_BY_WORTH.items()
}


class Headings:
    """The words that headings are told by."""

    def __init__(self, table: Mapping[str, Any], own: Set[str] = frozenset()) -> None:
        self._table = table
        self._own = own
        self._words: dict[str, tuple[Meaning, int]] = {
            squeezed(word): (meaning, rank)
            for meaning in (Meaning.SENSOR, Meaning.UNIT, Meaning.ZONE, *reversed(MEANINGS))
            for rank, word in reversed(list(enumerate(table[meaning])))
            if squeezed(word)  # a heading without letters is not told by a word without any
        }
        self.beside = {squeezed(word): name for name in BESIDE for word in table[name]}
        self._starts = set(map(squeezed, table["starts"]))
        # A column of starts holds the rows' own, or that of all of them.
        self._words |= dict.fromkeys(self._starts - self._words.keys(), (Meaning.TIME, _LAST))
        self._rate_units = set(map(squeezed, table["rate_units"]))
        self._not_samples = set(map(squeezed, table["not_samples"]))
        self._cadences = set(map(squeezed, (*table[Meaning.CADENCE], *table["steps"])))
        others = set(map(squeezed, table["other_quantities"]))
        self._others = self._not_samples | self._cadences | others
        self._parts = {
            squeezed(word): part for part, words in table["parts"].items() for word in words
        }
        self._containers = set(map(squeezed, table["containers"]))

    def and_more(self, words: Mapping[str, Sequence[str]]) -> "Headings":
        """These words, and before them more `words` by meaning; one here loses any other."""
        said = {squeezed(word) for more in words.values() for word in more}
        if not said:
            return self
        known = {
            str(meaning): [
                *words.get(meaning, ()),
                *(word for word in self._table[meaning] if squeezed(word) not in said),
            ]
            for meaning in (*MEANINGS, *BESIDE)
        }
        return Headings({**self._table, **known}, said)

    def read(self, heading: str) -> Heading | None:
        """What `heading` means; None where it says nothing Strapline uses, or what is looked for
        beside heart rates."""
        if squeezed(heading) in self._own & self.beside.keys():
            return None
        for words, unit in singulars(self._stems(heading)):
            word = "".join(words)
            meaning, rank = self._words.get(word, (None, 0))
            if meaning:
                spoken = set(words_of(heading))
                found = Heading(
                    meaning,
                    rank,
                    is_utc=not _UTC.isdisjoint(spoken),
                    since_midnight=not _MIDNIGHTS.isdisjoint(spoken),
                )
                known = self._as_in_brackets(found, heading)
                return in_its_unit(known, unit) if known else None
        text, unit = without_unit(heading)
        if not self._is_a_heart_rate(text):
            return None
        units = (unit_of(word) for word in words_of(text))
        among = next((one for one in units if one and one.measures == "rate"), None)
        return in_its_unit(Heading(Meaning.HEART_RATE, is_exact=False), unit or among)

    def _as_in_brackets(self, known: Heading, heading: str) -> Heading | None:
        """The heading as what stands in brackets has it: 'bpm (cadence)' is no heart rate."""
        inside = words_of(" ".join(BRACKETS.findall(without_unit(heading)[0])))
        if known.meaning != Meaning.HEART_RATE or self._others.isdisjoint(inside):
            return known
        return (
            None if self._cadences.isdisjoint(inside) else replace(known, meaning=Meaning.CADENCE)
        )

    def read_all(self, names: Sequence[str]) -> dict[int, Heading]:
        """What each of the headings of one table means, by its place, where it means anything.

        Beside other figures of variability, or another word for the heart rate, HF is the power at
        high frequencies.
        """
        found = {place: known for place, name in enumerate(names) if (known := self.read(name))}
        parts = {
            n: part for n, name in enumerate(names) if (part := self._parts.get(squeezed(name)))
        }
        if {"minute", "second"} <= set(parts.values()):
            found |= {place: Heading(Meaning.TIME, part=part) for place, part in parts.items()}
        if any(not _VARIABILITY.isdisjoint(words_of(name)) for name in names):
            return {n: known for n, known in found.items() if words_of(names[n])[:1] != ["hf"]}
        rates = {
            squeezed(names[n]) for n, known in found.items() if known.meaning == Meaning.HEART_RATE
        }
        is_told = not all(rate.startswith("hf") for rate in rates)
        return {n: k for n, k in found.items() if not (is_told and squeezed(names[n]) == "hf")}

    def beside_in(self, names: Sequence[str]) -> dict[int, Heading]:
        """Those of the headings of one table, by their place, that say what is in it beside heart
        rates: what tells whether its clock is right, and when the time that a row stands for is
        over. They make no table one of heart rates: they are looked for where one is known."""
        found = {place: self._beside(words_of(name)) for place, name in enumerate(names)}
        return {place: heading for place, heading in found.items() if heading is not None}

    def _beside(self, spoken: Sequence[str]) -> Heading | None:
        """A word for one, and nothing after it but a unit."""
        for end in range(len(spoken), 0, -1):
            meaning = self.beside.get("".join(spoken[:end]))
            if meaning is not None:
                worth = _WORTH[meaning].get("".join(spoken[end:]))
                return None if worth is None else Heading(meaning, worth=worth)
        return None

    def meaning_of(self, heading: str) -> Meaning | None:
        found = self.read(heading)
        return found.meaning if found else None

    def is_of_something_else(self, name: str) -> bool:
        """Whether `name` speaks of another quantity, of a summary, or of another unit."""
        text, unit = without_unit(name)
        is_unfit = unit is not None and unit.measures == "something else"
        summed_up = bool(STRETCH.search(text))
        return is_unfit or summed_up or not self._others.isdisjoint(words_of(name))

    def is_of_no_use(self, name: str) -> bool:
        """Whether `name` speaks of a summary, or of what tells neither a heart nor a clock."""
        others = self._not_samples | (self._others - self._cadences - self.beside.keys())
        return not others.isdisjoint(words_of(name)) or bool(STRETCH.search(name))

    def is_start(self, name: str) -> bool:
        """Whether `name` is that of a recording's start."""
        bare = squeezed(BRACKETS.sub(" ", name))
        return squeezed(name) in self._starts or bare in self._starts

    def topic(self, keys: Sequence[str]) -> str:
        """The innermost of `keys` that says something; empty if none does."""
        telling = (key for key in reversed(keys) if squeezed(key) not in self._containers)
        return next(telling, "")

    def _stems(self, heading: str) -> Iterator[tuple[list[str], Unit | None]]:
        """The heading without its unit, and without what else is in brackets."""
        text, unit = without_unit(heading)
        if squeezed(heading) in self._own:
            yield words_of(heading), unit
        tokens = words_of(text)
        yield tokens, unit or self._last_unit(tokens)
        if not _UTC.isdisjoint(tokens):
            tokens = [token for token in tokens if token not in _UTC]
            yield tokens, unit or self._last_unit(tokens)
        bare = words_of(BRACKETS.sub(" ", text))
        if bare and bare != tokens and self._not_samples.isdisjoint(tokens):
            yield bare, unit
        for length in range(min(_LONGEST_UNIT, len(tokens) - 1), 0, -1):
            stem, last = tokens[:-length], "".join(tokens[-length:])
            meaning, _ = self._words.get("".join(stem), (None, 0))
            # "HR min" is the lowest heart rate, but "time min" is time in minutes.
            of_rate = Unit("rate") if last in self._rate_units else None
            # "HR 1" is a sensor, and "HR 1 s" no length of beats.
            is_bare = meaning in OF_TIME or not any(map(str.isdigit, last))
            own = (None if meaning in OF_TIME else of_rate) or (unit_of(last) if is_bare else None)
            if own and (meaning in OF_TIME or last not in self._not_samples):
                yield stem, own
        leading = unit_of(tokens[0]) if len(tokens) > 2 else None
        if leading and leading.measures == "time":  # seconds since the start
            yield tokens[1:], leading

    def _last_unit(self, tokens: list[str]) -> Unit | None:
        """Of a heading that is a unit of time, or ends in one and is known as a whole."""
        found = unit_of(tokens[-1]) if tokens else None
        return found if found and found.measures == "time" else None

    def _is_a_heart_rate(self, text: str) -> bool:
        """Whether a word for the heart rate stands among others, such as which sensor it is, and
        no ratio is made of it."""
        tokens = words_of(text)
        if not self._others.isdisjoint(tokens) or "/" in text or STRETCH.search(text):
            return False
        tokens = [token.rstrip("0123456789") or token for token in tokens]  # hr2
        places = range(len(tokens))
        parts = ("".join(tokens[start : end + 1]) for start in places for end in places[start:])
        return any(self._words.get(part, (None, 0))[0] == Meaning.HEART_RATE for part in parts)


@cache
def shipped() -> Headings:
    """The words that come with Strapline."""
    text = Path(__file__).with_name("headings.yaml").read_text(encoding="utf-8")
    return Headings(yaml.safe_load(text))
