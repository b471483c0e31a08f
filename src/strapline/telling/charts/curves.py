"""A line a device over one panel, each led on to its name."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from strapline.ground.words import plain
from strapline.telling.charts.ends import End, ends
from strapline.telling.charts.picture import Content, by_column

_ROUND = (1, 2, 5, 10)


@dataclass(frozen=True)
class Curve:
    """A device's line: columns x and y, and points on it; `note`: what stands beside its name."""

    place: int
    label: str
    line: pd.DataFrame
    note: str = ""
    points: Sequence[tuple[float, float]] = ()


def curves(
    subtitle: str,
    found: Sequence[Curve],
    across: tuple[float, float],
    up: tuple[float, float],
    values: Mapping[str, Any] | None = None,
) -> Content:
    """`across`, `up`: what the axes span at least; `up` is led on to round values."""
    low, high = _round(*up)
    lines = [
        [
            {"place": one.place, "x": round(x, 2), "y": round(y, 2)}
            for x, y in one.line.to_numpy(float)
        ]
        for one in found
    ]
    last = [
        End(one.place, plain(one.label), x, y, one.note)
        for one in found
        for x, y in one.line.to_numpy(float)[-1:]
    ]
    points = [
        {"place": one.place, "x": round(x, 2), "y": round(y, 2)}
        for one in found
        for x, y in one.points
    ]
    return Content(
        subtitle,
        {
            "lines": by_column(*lines),
            "ends": by_column(ends(last, low, high, line=0.065)),
            "points": by_column(points),
        },
        {"left": round(across[0], 1), "right": round(across[1], 1), "low": low, "high": high}
        | dict(values or {}),
    )


def _round(low: float, high: float) -> tuple[float, float]:
    """From a round value below to one above."""
    each = max(high - low, 1) / 7
    power = 10.0 ** math.floor(math.log10(each))
    step = next(power * s for s in _ROUND if each <= power * s * (1 + 1e-9))
    return math.floor(low / step) * step, max(math.ceil(high / step), 1) * step
