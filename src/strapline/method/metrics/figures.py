"""The figures of METRICS: what each is called, what it means, and how to look one up."""

import math
from collections import defaultdict
from dataclasses import dataclass

import pandas as pd

from strapline.ground.settings import Tolerance
from strapline.ground.vocabulary import Scope


@dataclass(frozen=True)
class Figure:
    """`plus` if the sign says which way; `main` if a reader acts on it, else it is for experts."""

    name: str
    label: str
    meaning: str
    unit: str
    plus: bool = False
    main: bool = True
    decimals: int = 1

    def titled(self, tolerance: Tolerance) -> str:
        """Its name with the unit, and with the tolerance where it rests on one."""
        label = self.label.format(beats=tolerance.beats, percent=tolerance.percent)
        return f"{label}, {self.unit}" if self.unit else label


FIGURES = (
    Figure("mean_reference", "Average, strap", "Mean of the strap’s readings.", "bpm"),
    Figure("mean_device", "Average, device", "Mean of the device’s in the same seconds.", "bpm"),
    Figure("bias", "Bias", "Device minus strap, on average.", "bpm", plus=True),
    Figure("bias_percent", "Bias, relative", "Bias as a share of the strap’s.", "%", plus=True),
    Figure("maximum_reference", "Highest, strap", "The strap’s highest reading.", "bpm"),
    Figure("maximum_device", "Highest, device", "The device’s highest reading.", "bpm"),
    Figure("mae", "Mean absolute error", "How far off a second is on average.", "bpm"),
    Figure("absolute_error_p95", "Worst 5 %", "One second in 20 is off by more.", "bpm"),
    Figure("within_beats", "Within {beats:g} bpm", "Share of the time compared.", "%"),
    Figure("within_percent", "Within {percent:g} %", "Of the strap’s reading.", "%"),
    Figure("within_either", "Within the wider of the two", "Share of the time compared.", "%"),
    Figure(
        "coverage",
        "Coverage",
        "Share of the strap’s usable seconds that it reported in.",
        "%",
    ),
    Figure("first_lock", "First lock", "Until it first stays near the strap for 30 s.", "s"),
    Figure(
        "delay_rising",
        "Delay, rising",
        "How late it follows a rise. Where heart rates set the clock, only the gap between the "
        "two delays counts.",
        "s",
        plus=True,
    ),
    Figure("delay_falling", "Delay, falling", "How late it follows a fall.", "s", plus=True),
    Figure(
        "maximum_difference", "Highest, difference", "Device minus strap.", "bpm", True, main=False
    ),
    Figure(
        "maximum_difference_percent",
        "Highest, relative",
        "As a share of the strap’s highest.",
        "%",
        plus=True,
        main=False,
    ),
    Figure("mape", "Mean absolute error, relative", "As a share of the strap’s.", "%", main=False),
    Figure("rmse", "Root mean square error", "Weighs large errors more.", "bpm", main=False),
    Figure(
        "sd_of_differences", "Spread", "Standard deviation of the differences.", "bpm", main=False
    ),
    Figure(
        "limit_lower", "Lower limit", "Lower limit of agreement (95 %).", "bpm", True, main=False
    ),
    Figure(
        "limit_upper", "Upper limit", "Upper limit of agreement (95 %).", "bpm", True, main=False
    ),
    Figure("pearson_r", "Correlation", "Pearson’s r; blind to bias.", "", main=False, decimals=3),
    Figure(
        "concordance",
        "Concordance",
        "Lin’s coefficient; 1 is full agreement.",
        "",
        main=False,
        decimals=3,
    ),
    Figure(
        "proportional_slope",
        "Proportional bias",
        "By how much the difference grows with each beat of heart rate.",
        "bpm/bpm",
        plus=True,
        main=False,
        decimals=3,
    ),
    Figure(
        "effective_n",
        "Independent seconds",
        "As many as the seconds compared are worth, for each repeats the one before.",
        "",
        main=False,
        decimals=0,
    ),
)


@dataclass(frozen=True)
class Value:
    value: float
    low: float = math.nan
    high: float = math.nan


Key = tuple[str, str, str]


class Figures:
    """The METRICS of one session, found by recording, scope and view of the clocks."""

    def __init__(self, metrics: pd.DataFrame) -> None:
        self._found: dict[Key, dict[str, Value]] = defaultdict(dict)
        names = ["recording", "scope", "alignment", "metric"]
        keys = metrics[names].astype(str).to_numpy().tolist()
        numbers = metrics[["value", "ci_low", "ci_high"]].to_numpy(float).tolist()
        for (recording, scope, view, metric), row in zip(keys, numbers, strict=True):
            self._found[recording, scope, view][metric] = Value(*row)

    def get(self, recording: str, scope: str, view: str, metric: str) -> Value:
        """The figure; missing (NaN) where the table does not have it."""
        return self._found.get((recording, scope, view), {}).get(metric, Value(math.nan))

    def compared(self, recording: str, view: str) -> bool:
        """Whether any second of the session was compared."""
        return not math.isnan(self.get(recording, Scope.WHOLE, view, "mean_device").value)

    def values(self, recording: str, scope: str, view: str) -> dict[str, float]:
        """Every known figure by name, missing ones as NaN."""
        return {f.name: self.get(recording, scope, view, f.name).value for f in FIGURES}
