"""A stated figure beside what was measured."""

from __future__ import annotations

from dataclasses import dataclass

from strapline.ground.vocabulary import HeldAgainst, StatedFigure
from strapline.ground.words import reading

UNITS: dict[StatedFigure, str] = {
    StatedFigure.AVERAGE: "bpm",
    StatedFigure.MAXIMUM: "bpm",
    StatedFigure.MINIMUM: "bpm",
    StatedFigure.DURATION: "s",
}


@dataclass(frozen=True)
class Held:
    """A stated figure, what it is held against, and what there is to say of the two.

    measured is NaN where there is too little to hold it against; rounding is by how much the app's
    rounding, up or down, can move the figure; over_s is the time that `measured` is of.
    """

    figure: StatedFigure
    against: HeldAgainst
    stated: float
    measured: float
    rounding: float
    over_s: float
    sentence: str

    @property
    def difference(self) -> float:
        return self.stated - self.measured


def rounding_of(stated: float) -> float:
    """A unit of its last digit: whichever way an app rounds, it is off by less."""
    decimals = f"{stated:.3f}".rstrip("0").partition(".")[2]
    return 10.0 ** -len(decimals)


def agrees(stated: float, measured: float, rounding: float) -> bool:
    """Whether rounding alone can part them."""
    return abs(stated - measured) < rounding - 1e-9


def apart(stated: float, measured: float) -> str:
    """'3.4 more', '6 less', 'no more or less'."""
    difference = stated - measured
    size = reading(abs(difference))
    if size == "0":
        return "no more or less"
    return f"{size} {'more' if difference > 0 else 'less'}"
