"""A panel of rows: their height, and words that stand in them."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from strapline.telling.charts.marks import Part, mark, pixel, quantity, written


@dataclass(frozen=True)
class Rows:
    """`count` rows in `room` pixels, each from `least` to `most` pixels high."""

    count: int
    room: float
    most: float
    least: float

    @property
    def each(self) -> float:
        return min(self.most, max(self.least, self.room // self.count))

    @property
    def height(self) -> float:
        return self.each * self.count

    def y(self, field: str = "row") -> Part:
        """A channel whose values count rows from above; the first has its middle at 0.5."""
        return quantity(field, (0, self.count), range=[0, self.height])

    def words(self, said: Iterable[tuple[float, str]], x: float, **look: Any) -> Part:
        """Each text in the middle of its row, from pixel `x` of the panel on."""
        rows = [{"row": row + 0.5, "text": text} for row, text in said]
        place = {"x": pixel(x), "y": self.y(), "text": written("text")}
        return mark("text", rows, place, **{"align": "left", "baseline": "middle", **look})
