"""Names at the ends of lines, far enough from one another to be read."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from strapline.ground.words import plain
from strapline.telling.charts import letters
from strapline.telling.charts.tenth import number

# Of a name, beside a line and in front of a row, in its letters' height.
ROOM = 7.0
ROOM_OF_ROW = 8.0
# What part of the longest line one has to reach for its name to be led to.
LATE = 0.95
# The place of the strap's colour.
STRAP = -1


@dataclass(frozen=True)
class End:
    """A line's last point, its name, and what is noted beneath."""

    place: int
    label: str
    x: float
    y: float
    note: str = ""


def ends(found: Sequence[End], low: float, high: float, line: float) -> list[dict[str, Any]]:
    """A row each: place, label, the same in `lines`, x, y, `at`, where the name stands between low
    and high, and `led`, whether a line leads there: one that ends early would seem to go on.

    `line`: of a line of words, in the height of the panel.
    """
    fitting = int(1 / (line * max(len(found), 1)))
    lines = [
        [
            *letters.broken(end.label, ROOM, 1, True, max(1, min(3, fitting - bool(end.note)))),
            *filter(None, [end.note]),
        ]
        for end in found
    ]
    gap = line * (high - low) * max(map(len, lines), default=1)
    last = max((end.x for end in found), default=0)
    heights = spread([end.y for end in found], gap, low + gap / 2, high - gap / 2)
    return [
        {
            "place": end.place,
            "label": " ".join(filter(None, [plain(end.label), end.note])),
            "lines": own,
            "x": number(end.x),
            "y": number(end.y),
            "at": round(at, 2),
            "led": bool(end.x >= LATE * last),
        }
        for end, own, at in zip(found, lines, heights, strict=True)
    ]


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places near the wanted ones, at least `gap` apart, and within low to high if they fit."""
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    places = [min(max(wanted[index], low), high) for index in order]
    for index in range(1, len(places)):
        places[index] = max(places[index], places[index - 1] + gap)
    ceiling = high
    for index in reversed(range(len(places))):
        places[index] = min(places[index], ceiling)
        ceiling = places[index] - gap
    return [place for _, place in sorted(zip(order, places, strict=True))]
