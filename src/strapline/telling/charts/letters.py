"""How wide text is in the bundled letters, so that it is broken or cut where room ends."""

import functools
import re
import unicodedata

from fontTools.ttLib import TTFont

from strapline.ground.words import plain
from strapline.telling.charts.font import font_file

# Letters the font lacks come from another one, at most an em wide; kerning only narrows.
_UNKNOWN = 1.0
# A number keeps its unit.
_BREAK = re.compile(r" (?!(?:bpm|%|min|h|s)(?:\W|$))|(?<!\d) ")


def width(text: str, size: float, bold: bool = False) -> float:
    """Pixels from the first letter to the last."""
    known = _advances("SemiBold" if bold else "Regular")
    return size * sum(known.get(letter, _otherwise(letter)) for letter in text)


def fitted(text: str, pixels: float, size: float, bold: bool = False) -> str:
    """`plain` text, cut with an ellipsis where it is wider than `pixels`."""
    line = plain(text)
    if width(line, size, bold) <= pixels:
        return line
    while line and width(f"{line}…", size, bold) > pixels:
        line = line[:-1].rstrip()
    return f"{line}…"


def broken(
    text: str, pixels: float, size: float, bold: bool = False, most: int | None = None
) -> list[str]:
    """`plain` text in lines no wider than `pixels`; the last of at most `most` is cut."""
    words = _BREAK.split(plain(text))
    found = [""]
    for place, word in enumerate(words):
        longer = f"{found[-1]} {word}".strip()
        if found[-1] and width(longer, size, bold) > pixels:
            if len(found) == most:
                found[-1] = " ".join([found[-1], *words[place:]])
                break
            found.append(word)
        else:
            found[-1] = longer
    return [fitted(line, pixels, size, bold) for line in found]


def _otherwise(letter: str) -> float:
    return 0.0 if unicodedata.combining(letter) else _UNKNOWN


@functools.cache
def _advances(weight: str) -> dict[str, float]:
    """Width of each letter of the font, in em."""
    font = TTFont(font_file(weight))
    em, widths = font["head"].unitsPerEm, font["hmtx"].metrics
    return {chr(code): widths[glyph][0] / em for code, glyph in font.getBestCmap().items()}
