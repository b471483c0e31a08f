"""Headings of what a table may hold beside heart rates: what tells whether its clock is right, and
when the time that a row stands for is over.

They make no table one of heart rates: they are looked for where one is known.
"""

from collections.abc import Sequence

from strapline.reading.formats.heading_words import words_of
from strapline.reading.formats.headings import Heading, Headings, Meaning

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


def channels_in(names: Sequence[str], words: Headings) -> dict[int, Heading]:
    """The headings of one table that mean such a thing, by their place."""
    found = {place: _channel(words_of(name), words) for place, name in enumerate(names)}
    return {place: heading for place, heading in found.items() if heading is not None}


def _channel(spoken: Sequence[str], words: Headings) -> Heading | None:
    """A word for one, and nothing after it but a unit."""
    for end in range(len(spoken), 0, -1):
        meaning = words.beside.get("".join(spoken[:end]))
        if meaning is not None:
            worth = _WORTH[meaning].get("".join(spoken[end:]))
            return None if worth is None else Heading(meaning, worth=worth)
    return None
