"""What a figure is made of: one device beside the reference, place by place."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from strapline.method.agreement.dependence import effective_size
from strapline.method.agreement.pairs import LimitsOfAgreement, limits_of_agreement
from strapline.method.agreement.proportional_bias import (
    Line,
    RegressionLimits,
    regression_limits,
)
from strapline.method.signal.spacing import every, independent_reports, longest_unit_s

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision
    from strapline.ground.settings import Tolerance
    from strapline.method.metrics.view import View


@dataclass(frozen=True)
class Compared:
    """reference, device: bpm, shape (n,), NaN where a side is missing. What several figures share
    is reckoned once, when it is first asked for. `reports`: from how many of the slower side's
    reports they are; `clock`: the device's, with how late it runs by that."""

    reference: np.ndarray
    device: np.ndarray
    tolerance: Tolerance
    reports: float = math.inf
    clock: ClockDecision | None = None

    @classmethod
    def of(cls, view: View, inside: np.ndarray, tolerance: Tolerance) -> Compared:
        """A place for each pair that could be compared in the seconds `inside`, a mask: each
        second's, or as few as give each report its time, where they are far apart. What the device
        missed has as many places as that time had pairs."""
        compared, missed = view.compared & inside, view.missed & inside
        used = (each[compared] for each in (view.stands_for_s, view.reference, view.device))
        every_s = longest_unit_s(*used)
        counted = every(compared, every_s) | every(missed, every_s)
        return cls(
            np.where(compared, view.reference, np.nan)[counted],
            np.where(compared, view.device, np.nan)[counted],
            tolerance,
            independent_reports(view.stands_for_s[compared]),
        )

    @classmethod
    def in_order(cls, view: View, tolerance: Tolerance, clock: ClockDecision | None) -> Compared:
        """A place for each second; the reference is missing where the two could not be compared
        whatever the device did. `clock`: in this view."""
        return cls(
            np.where(view.compared | view.missed, view.reference, np.nan),
            np.where(view.compared, view.device, np.nan),
            tolerance,
            clock=clock,
        )

    @cached_property
    def present(self) -> np.ndarray:
        """Where both sides are there, shape (n,)."""
        present: np.ndarray = ~(np.isnan(self.reference) | np.isnan(self.device))
        return present

    @cached_property
    def pairs(self) -> tuple[np.ndarray, np.ndarray]:
        """Both sides where both are there."""
        return self.reference[self.present], self.device[self.present]

    @property
    def n(self) -> int:
        return self.pairs[0].size

    @cached_property
    def difference(self) -> np.ndarray:
        """Device minus reference, shape (n,), with its gaps."""
        difference: np.ndarray = self.device - self.reference
        return difference

    @cached_property
    def size(self) -> np.ndarray:
        """Of the difference, shape (n,), with its gaps."""
        size: np.ndarray = np.abs(self.difference)
        return size

    @cached_property
    def sizes(self) -> np.ndarray:
        """Of the differences where both are there."""
        sizes: np.ndarray = self.size[self.present]
        return sizes

    @cached_property
    def in_beats(self) -> np.ndarray:
        """Whether each is within the tolerance in bpm, shape (n,); bounds count as within."""
        near: np.ndarray = self.size <= self.tolerance.beats
        return near

    @cached_property
    def in_percent(self) -> np.ndarray:
        """Whether each is within the tolerance in percent of the reference, shape (n,)."""
        near: np.ndarray = self.size <= np.abs(self.reference) * self.tolerance.percent / 100
        return near

    def share(self, holds: np.ndarray) -> float:
        """In how many of a hundred pairs it holds, by place, shape (n,)."""
        return float(np.mean(holds[self.present]) * 100)

    @cached_property
    def limits(self) -> LimitsOfAgreement:
        return limits_of_agreement(*self.pairs)

    @cached_property
    def effective_n(self) -> float:
        """As how many independent pairs the differences count, no more than there are reports; NaN
        for fewer than three."""
        return min(effective_n(self.difference), self.reports)

    @cached_property
    def line(self) -> Line:
        """The difference on the mean of both."""
        return self.regression.bias

    @cached_property
    def regression(self) -> RegressionLimits:
        return regression_limits(*self.pairs)


def effective_n(series: np.ndarray) -> float:
    """As how many independent values a series with gaps counts; NaN for fewer than three."""
    return effective_size(series) if np.count_nonzero(~np.isnan(series)) > 2 else math.nan
