"""Why a picture cannot be used."""

from collections.abc import Sequence

from strapline.reading.pictures.lines import Box


class UnreadablePicture(ValueError):
    """A picture without one curve to read; its message is a plain sentence for the tester."""


class UncertainPlot(UnreadablePicture):
    """A picture in which the plot's edges are not certain; `boxes` is where they may be."""

    def __init__(self, boxes: Sequence[Box]) -> None:
        super().__init__(
            "It is not certain where the plot’s edges are in the picture, so nothing is read from "
            "it. Say where they are under picture.area: [left, top, right, bottom], in pixels; "
            "strapline picture FILE shows where they may be."
        )
        self.boxes = tuple(boxes)
