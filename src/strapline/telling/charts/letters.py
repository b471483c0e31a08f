"""How wide text is in the bundled letters, so that it is broken or cut where room ends."""

import functools
import re
import struct
import unicodedata
from collections.abc import Iterator

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
    """Width of each letter of the font in em, from its tables `hmtx` and `cmap` (OpenType 1.9)."""
    font = font_file(weight).read_bytes()
    count = struct.unpack_from(">H", font, 4)[0]
    entries = (struct.unpack_from(">4sIII", font, 12 + 16 * index) for index in range(count))
    start = {tag.decode(): offset for tag, _, offset, _ in entries}
    em = struct.unpack_from(">H", font, start["head"] + 18)[0]
    measured = struct.unpack_from(">H", font, start["hhea"] + 34)[0]
    advances = [
        struct.unpack_from(">H", font, start["hmtx"] + 4 * min(glyph, measured - 1))[0] / em
        for glyph in range(measured)
    ]
    return {
        chr(code): advances[min(glyph, measured - 1)]
        for code, glyph in _glyphs(font, start["cmap"])
        if glyph
    }


def _glyphs(font: bytes, cmap: int) -> Iterator[tuple[int, int]]:
    """Code points and glyphs of the font's first subtable, which is of format 4."""
    table = cmap + struct.unpack_from(">I", font, cmap + 8)[0]
    twice = struct.unpack_from(">H", font, table + 6)[0]
    segments = twice // 2

    def column(place: int, kind: str) -> tuple[int, ...]:
        found: tuple[int, ...] = struct.unpack_from(f">{segments}{kind}", font, table + place)
        return found

    ends, starts = column(14, "H"), column(16 + twice, "H")
    deltas, ranges = column(16 + 2 * twice, "h"), column(16 + 3 * twice, "H")
    for index, (first, last) in enumerate(zip(starts, ends, strict=True)):
        for code in range(first, min(last, 0xFFFE) + 1):
            if not ranges[index]:
                yield code, (code + deltas[index]) & 0xFFFF
                continue
            place = table + 16 + 3 * twice + 2 * index + ranges[index] + 2 * (code - first)
            glyph = struct.unpack_from(">H", font, place)[0]
            yield code, (glyph + deltas[index]) & 0xFFFF if glyph else 0
