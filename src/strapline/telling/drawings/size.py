"""The sizes a drawing is made in: a phone held upright, a column of text, a wide screen, and a
frame that stands upright."""

from dataclasses import dataclass

from strapline.telling.charts.ends import ROOM, ROOM_OF_ROW

_LEAST_BESIDE = 500


@dataclass(frozen=True)
class Size:
    """`width`: pixels from edge to edge; `text`: of its letters; `columns`: panels side by side."""

    name: str
    width: int
    text: int
    columns: int

    @property
    def axis(self) -> int:
        """Room for the figures of an axis."""
        return round(2.7 * self.text)

    @property
    def names(self) -> int:
        """Room for a name beside its line, if it stands there."""
        if self.names_above:
            return self.text
        return round((ROOM + 1.3) * self.text)

    @property
    def names_above(self) -> bool:
        """Whether names stand above lines, which need all of the width."""
        return self.width < _LEAST_BESIDE

    @property
    def rows(self) -> int:
        """Room for a name in one line, in front of its row."""
        return round((ROOM_OF_ROW + 0.8) * self.text)

    @property
    def plot(self) -> int:
        """What is left for lines."""
        return self.width - self.axis - self.names

    @property
    def apart(self) -> int:
        """Between panels side by side."""
        return 2 * self.text

    @property
    def panel(self) -> int:
        """The width of one of the panels that stand side by side, with what belongs to it."""
        return (self.width - (self.columns - 1) * self.apart) // self.columns


# On a phone's screen of 360 pixels letters are 13 pixels high; so they are in a column of 490, and
# on what is 900 wide.
PHONE = Size("phone", 322, 13, 1)
COLUMN = Size("column", 640, 17, 1)
WIDE = Size("wide", 1240, 18, 2)
SIZES = (PHONE, COLUMN, WIDE)
# As a column, and as high as the frame leaves room for.
UPRIGHT = Size("upright", COLUMN.width, COLUMN.text, 1)
