"""What there is to know of one figure of a session."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from strapline.method.metrics.again import Near, Pairs
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.deciding import Deciding
from strapline.method.metrics.intervals import IntervalRule

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance

COMMON = "common practice, no source"
OWN = "our own"
BLAND_ALTMAN = "Bland & Altman 1986, Lancet 327:307–310"

# Where a figure is given: for every scope; for the session as a whole; for the session as a whole
# from its seconds in order, of which those that were not compared keep their place.
Given = Literal["every scope", "whole session", "whole session in order"]


@dataclass(frozen=True)
class Metric:
    """A figure of METRICS.

    key
        What tables and commands call it.
    name, meaning
        What pages call it, with {beats} and {percent} for the tolerance; a short sentence.
    unit
        '1' for a number without one.
    plus
        Whether its sign says which way, and is shown.
    main
        Whether a reader acts on it; else it is for experts.
    formula, source
        How it is had, in plain signs: r is the reference's and d the device's heart rate in the
        same second.
    interval
        How its interval is made, or why there is none.
    value
        The figure, of what was compared.
    again
        The same by a short path of its own, which shares nothing with `value`; None where there
        is none.
    needs_pairs
        Whether it is missing where no pair was compared.
    deciding
        Which of the pairs decide it or weigh most in it; None where none stands out.
    """

    key: str
    name: str
    meaning: str
    unit: str
    formula: str
    source: str
    interval: IntervalRule
    value: Callable[[Compared], float]
    again: Callable[[Pairs, Near], float] | None
    plus: bool = False
    main: bool = True
    decimals: int = 1
    given: Given = "every scope"
    needs_pairs: bool = True
    deciding: Deciding | None = None

    def titled(self, tolerance: Tolerance) -> str:
        """Its name with the unit, and with the tolerance where it rests on one."""
        name = self.named(tolerance.beats, tolerance.percent)
        return name if self.unit == "1" else f"{name}, {self.unit}"

    def named(self, beats: float, percent: float) -> str:
        return self.name.format(beats=beats, percent=percent)

    def reckoned(self, beats: float, percent: float) -> str:
        """Its formula with the tolerance in force."""
        return self.formula.format(beats=beats, percent=percent)
