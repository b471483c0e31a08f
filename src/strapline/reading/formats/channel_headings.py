"""Headings of what a table may hold beside heart rates, which tells whether its clock is right.

They make no table one of heart rates: they are looked for where one is known.
"""

from collections.abc import Sequence

from strapline.reading.formats.heading_words import squeezed, words_of
from strapline.reading.formats.headings import Heading

SPEED, DISTANCE, POWER = "speed", "distance", "power"
_WORDS = {
    SPEED: "speed, enhanced speed, velocity, Geschwindigkeit, vitesse, velocidad, velocità, "
    "velocidade, snelheid, prędkość, hastighet, hastighed, fart, nopeus, 速度",
    DISTANCE: "distance, cumulative distance, total distance, Distanz, Strecke, distancia, "
    "distanza, distância, afstand, dystans, distans, 距離, 距离",
    POWER: "power, Leistung, puissance, potencia, potenza, potência, vermogen, moc, effekt, "
    "パワー, 功率",
}
_MEANINGS = {
    squeezed(word): meaning for meaning, words in _WORDS.items() for word in words.split(", ")
}
# What a value is worth in m/s, m and W, by the letters of its unit; in these where it has none.
_WORTH = {
    SPEED: {
        "": 1.0,
        "ms": 1.0,
        "mps": 1.0,
        "kmh": 1 / 3.6,
        "kph": 1 / 3.6,
        "kmt": 1 / 3.6,
        "kmu": 1 / 3.6,
        "mph": 0.44704,
    },
    DISTANCE: {"": 1.0, "m": 1.0, "meters": 1.0, "metres": 1.0, "km": 1000.0, "mi": 1609.344},
    POWER: {"": 1.0, "w": 1.0, "watt": 1.0, "watts": 1.0},
}


def channels_in(names: Sequence[str]) -> dict[int, Heading]:
    """The headings of one table that mean speed, distance or power, by their place."""
    found = {place: _channel(words_of(name)) for place, name in enumerate(names)}
    return {place: heading for place, heading in found.items() if heading is not None}


def _channel(words: Sequence[str]) -> Heading | None:
    """A word for one, and nothing after it but a unit."""
    for end in range(len(words), 0, -1):
        meaning = _MEANINGS.get("".join(words[:end]))
        if meaning is not None:
            worth = _WORTH[meaning].get("".join(words[end:]))
            return None if worth is None else Heading(meaning, worth=worth)
    return None
