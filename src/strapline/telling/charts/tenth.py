"""How the numbers that are drawn are written."""

import math


def number(value: float) -> float | int | None:
    """`value` to a tenth, written as short as it can be; None where it is missing."""
    if not math.isfinite(value):
        return None
    if value % 1 == 0:  # Most are, and rounding takes longer than looking.
        return int(value)
    tenth = round(float(value), 1)
    return int(tenth) if tenth.is_integer() else tenth
