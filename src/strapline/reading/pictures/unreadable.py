"""Why a picture cannot be used."""

from collections.abc import Sequence

from strapline.reading.pictures.lines import Box


class UnreadablePicture(ValueError):
    """A picture without one curve to read; its message is a plain sentence for the tester."""


class SeveralCurves(UnreadablePicture):
    """A picture in which it is not certain which of what is drawn is the curve; its message is a
    sentence that says what was found, and not yet what to do."""


class UncertainPlot(UnreadablePicture):
    """A picture in which the plot's edges are not certain; `boxes` is where they may be,
    if there is anything to go by."""

    def __init__(self, message: str, boxes: Sequence[Box]) -> None:
        super().__init__(message)
        self.boxes = tuple(boxes)
