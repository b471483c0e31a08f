"""A lane above a device's strip in which its episodes stand, each with its name."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import pandas as pd

from strapline.method.episodes import kinds
from strapline.telling.charts import letters, theme
from strapline.telling.charts.marks import Part, mark, pixel, up_to, written

HEIGHT = 52
_BAR, _BASE = 7, 45
_NAMES, _LEADERS = 26, 30
_APART = 14
# Bars of one kind this near, in pixels, are one to the eye.
_TOUCHING = 14


@dataclass(frozen=True)
class Bar:
    """An episode, or some of one kind that touch: pixels from left to right."""

    start: float
    end: float
    name: str
    place: float = 0.0

    @property
    def wide(self) -> float:
        return letters.width(self.name, theme.SMALL)


def lane(episodes: pd.DataFrame, x: Part, end: int, width: float) -> list[Part]:
    """A bar over each of a device's episodes (rows under EPISODES), led to by its name.

    `x` is the channel of the session's seconds, of which `end` is the last, over `width` pixels.
    Where the names do not all fit, the longest episodes keep theirs.
    """
    second = end / width
    found = bars(episodes, second, width)
    if not found:
        return []
    named = placed(found, width)
    # A little shorter, so that bars that follow one another are seen to be two.
    over = [_row(second, s=bar.start, end=max(bar.end - 3, bar.start + 2)) for bar in found]
    words = [_row(second, s=bar.place) | {"name": bar.name} for bar in named]
    leaders = [_row(second, s=_initial(bar), end=_target(bar)) for bar in named]
    to = {"x": x, "x2": up_to("end")}
    ends = {**to, "y": pixel(_LEADERS), "y2": pixel(_BASE - _BAR / 2)}
    text = {"x": x, "y": pixel(_NAMES), "text": written("name")}
    look = {"align": "left", "baseline": "bottom", "fontSize": theme.SMALL}
    return [
        mark("rule", over, {**to, "y": pixel(_BASE)}, strokeWidth=_BAR, color=theme.INK),
        mark("rule", leaders, ends, strokeWidth=1.5, color=theme.INK),
        mark("text", words, text, color=theme.INK, **look),
    ]


def bars(episodes: pd.DataFrame, second: float, width: float) -> list[Bar]:
    """The episodes from left to right, those of one kind that touch made one.

    `second`: seconds a pixel.
    """
    found: list[Bar] = []
    # What stands out within a span takes its place in the lane.
    order = episodes.sort_values("start_s").astype({"kind": str})
    spans = _in_turn(order[["start_s", "end_s", "kind"]].to_numpy(object).tolist())
    for start, end, kind in spans:
        left = min(start / second, width - 2)
        right = min(max(end / second, left + 2), width)
        last = found[-1] if found else None
        name = kinds.kind(kind).lane
        if last and last.name == name and left - last.end <= _TOUCHING:
            found[-1] = replace(last, end=max(right, last.end))
        else:
            found.append(Bar(left, right, name))
    return found


def _in_turn(rows: Iterable[Sequence[Any]]) -> list[tuple[int, int, str]]:
    """Spans (start, end, kind) in order of their start, each interrupted by what stands out in
    it."""
    cut: list[tuple[int, int, str]] = []
    for start, end, kind in rows:
        if cut and start < cut[-1][1]:
            first, last, around = cut.pop()
            parts = [(first, start, around), (start, end, kind), (end, last, around)]
            cut += [part for part in parts if part[0] < part[1]]
        else:
            cut.append((start, end, kind))
    return cut


def placed(found: list[Bar], width: float) -> list[Bar]:
    """Bars whose names find room, with the pixel at which each name begins."""
    kept = list(found)
    while sum(bar.wide + _APART for bar in kept) > width + _APART:
        kept.remove(min(kept, key=lambda bar: bar.end - bar.start))
    places: list[float] = []
    free = 0.0
    for bar in kept:
        places.append(max(bar.start, free))
        free = places[-1] + bar.wide + _APART
    ceiling = width
    for index in reversed(range(len(kept))):
        places[index] = min(places[index], ceiling - kept[index].wide)
        ceiling = places[index] - _APART
    return [replace(bar, place=place) for bar, place in zip(kept, places, strict=True)]


def _row(second: float, **pixels: float) -> dict[str, object]:
    return {name: round(place * second, 1) for name, place in pixels.items()}


def _initial(bar: Bar) -> float:
    """Where a leader begins, under the first letter of its name."""
    return bar.place + 6


def _target(bar: Bar) -> float:
    """Where a leader meets its bar: near the start, however long the bar is."""
    return min((bar.start + bar.end) / 2, bar.start + 6)
