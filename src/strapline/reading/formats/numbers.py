"""Reading numbers from text."""

import math
import re

_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?", re.ASCII)
_UNIT = re.compile(r"(?<=\d)\s*(bpm|rpm|spm|[a-z]*/min|ms|sec|s)\.?$", re.ASCII | re.IGNORECASE)


def number(text: str | None) -> float:
    """The number `text` is, with decimal point or comma; NaN for all else, infinity too."""
    if text is None or not is_number(text):
        return math.nan
    value = float(text.replace(",", "."))
    return value if math.isfinite(value) else math.nan


def measured(text: str | None) -> float:
    """As `number`, but with a unit after the number forgiven."""
    if not text:
        return math.nan
    # Nearly all are plain digits, and few: the rest takes longer.
    if len(text) < 16 and text.isascii() and text.isdigit():
        return float(text)
    return number(_UNIT.sub("", text.strip()[-60:]))


def is_number(text: str) -> bool:
    return _NUMBER.fullmatch(text.strip()) is not None
