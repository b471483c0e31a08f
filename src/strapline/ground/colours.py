"""Colours as people write them, and how well two of them are told apart."""

from typing import Annotated

from pydantic import Field

from strapline.ground.mistakes import COLOUR_PATTERN

Colour = Annotated[str, Field(pattern=COLOUR_PATTERN)]


def contrast(one: str, other: str) -> float:
    """Contrast ratio as WCAG 2.2 defines it: 1 for equal colours, 21 for black and white."""
    darker, lighter = sorted(map(_luminance, (one, other)))
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else float(((part + 0.055) / 1.055) ** 2.4)
