"""How well a reference's own errors are found, on simulated truth.

    cd tests && python -m benchmarks.reference_check [hours]

Prints, first, for each kind of heart and of artefact, what share of the spoilt RR intervals each
rule finds, how many of 1000 good ones it takes for artefacts, and in what share of seconds the
rate from the intervals left is wrong by more than 5 bpm. Second, for each kind of heart and of
failing strap, how many of the seconds that are wrong by more than 5 bpm are cut (recall), how
many of those cut are wrong (precision), and how many of the right ones are lost. Wrong is
measured against the same strap with perfect contact.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from benchmarks.strap_faults import (
    FAULTS,
    HEARTS,
    KINDS,
    heard_through,
    heart,
    held,
    with_artefacts,
)
from strapline.demo.strap import Contact, StrapReading, bad_contact, strap_reading
from strapline.ground.settings import Plausibility, Reference, RrIntervals
from strapline.ground.vocabulary import Status
from strapline.method.signal.beat_rate import rate_at_seconds
from strapline.method.signal.flags import far_from_neighbours, flag_beats
from strapline.method.signal.reference_check import reasons_against
from strapline.method.signal.rr_artefacts import LOWEST_THRESHOLD_MS, artefact_share_at, classify_rr
from strapline.method.signal.trace import Trace

WRONG_BPM = 5.0
WINDOW_S = 5.0
LONGEST_GAP_S = 10.0
AVERAGED_OVER_S = 3.0


def implausible(rr: np.ndarray) -> np.ndarray:
    return (rr < 60_000 / Plausibility().highest_bpm) | (rr > 60_000 / Plausibility().lowest_bpm)


def by_median(rr: np.ndarray) -> np.ndarray:
    """The rule on neighbours alone, with a change of at most 30 %."""
    bad = implausible(rr)
    return far_from_neighbours(np.where(bad, np.nan, rr), 0.3) | bad


def by_kind(rr: np.ndarray, lowest_threshold_ms: float = LOWEST_THRESHOLD_MS) -> np.ndarray:
    """The published classification alone."""
    return (classify_rr(rr, lowest_threshold_ms) != "normal") | implausible(rr)


def by_either(rr: np.ndarray) -> np.ndarray:
    """As the workflow decides, with a change of at most 40 % from the neighbours."""
    return flag_beats(rr, Plausibility(), RrIntervals(largest_change=0.4)) != "kept"


RULES: dict[str, Callable[[np.ndarray], np.ndarray]] = {
    "median 30 %": by_median,
    "published": lambda rr: by_kind(rr, 0),
    "from 50 ms": by_kind,
    "or median 40 %": by_either,
}


def clean_rate(beats: np.ndarray) -> dict[float, float]:
    rr = np.diff(beats) * 1000
    return dict(zip(*rate_at_seconds(beats[1:], rr, rr > 0, WINDOW_S), strict=True))


def wrong_share(beat_s: np.ndarray, artefact: np.ndarray, truth: dict[float, float]) -> float:
    rr = np.diff(beat_s) * 1000
    seconds, rate = rate_at_seconds(beat_s[1:], rr, ~artefact, WINDOW_S)
    true = np.array([truth.get(second, np.nan) for second in seconds])
    return float(np.mean(np.abs(rate - true) > WRONG_BPM))


def print_rules(duration_s: int) -> None:
    print("RR intervals: % found / false alarms in 1000 / % of seconds wrong by > 5 bpm")
    print(f"{'heart':31}{'artefact':10}" + "".join(f"{name:>22}" for name in RULES))
    for name in HEARTS:
        beats = heart(name, duration_s, "rules")
        truth = clean_rate(beats)
        for kind in (*KINDS, "none"):
            series = with_artefacts(beats, kind, 0.0 if kind == "none" else 0.02, "rules")
            cells = []
            for rule in RULES.values():
                found, wrong = rule(series.rr_ms), series.wrong
                sensitivity = 100 * found[wrong].mean() if wrong.any() else np.nan
                alarms = 1000 * found[~wrong].mean()
                share = 100 * wrong_share(series.beat_s, found, truth)
                cells.append(f"{sensitivity:9.1f} /{alarms:5.1f} /{share:4.1f}")
            print(f"{name:31}{kind:10}" + "".join(cells))


@dataclass(frozen=True)
class Cut:
    """Seconds of a reference: wrong and cut, wrong, cut though it has a value, right ones lost."""

    found: int
    wrong: int
    cut: int
    seconds: int

    def __add__(self, other: "Cut") -> "Cut":
        return Cut(
            self.found + other.found,
            self.wrong + other.wrong,
            self.cut + other.cut,
            self.seconds + other.seconds,
        )

    def __str__(self) -> str:
        recall = 100 * self.found / self.wrong if self.wrong else np.nan
        precision = 100 * self.found / self.cut if self.cut else np.nan
        lost = 100 * (self.cut - self.found) / max(self.seconds - self.wrong, 1)
        return (
            f"{self.wrong:7d} wrong ({100 * self.wrong / self.seconds:4.1f} %)"
            f"  recall {recall:5.1f} %  precision {precision:5.1f} %  right ones lost {lost:4.1f} %"
        )


def cut_of_beats(reading: StrapReading, truth: StrapReading, limits: Reference) -> Cut:
    """As the workflow does: rate from the intervals kept, and what is said against it."""
    artefact = by_either(reading.rr_ms)
    seconds, rate = rate_at_seconds(reading.beat_s, reading.rr_ms, ~artefact, WINDOW_S)
    valued = ~np.isnan(rate)
    share = artefact_share_at(seconds, reading.beat_s, artefact)
    true = dict(
        zip(*rate_at_seconds(truth.beat_s, truth.rr_ms, truth.rr_ms > 0, WINDOW_S), strict=True)
    )
    expected = np.array([true.get(second, np.nan) for second in seconds])
    return _cut(seconds, Trace(seconds[valued], rate[valued]), expected, limits, share)


def cut_of_average(rate: np.ndarray, truth: np.ndarray, limits: Reference) -> Cut:
    seconds = np.arange(rate.size, dtype=float)
    valued = ~np.isnan(rate)
    return _cut(seconds, Trace(seconds[valued], rate[valued]), truth, limits, None)


def _cut(
    seconds: np.ndarray,
    trace: Trace,
    expected: np.ndarray,
    limits: Reference,
    share: np.ndarray | None,
) -> Cut:
    reasons = reasons_against(seconds, trace, LONGEST_GAP_S, limits, share)
    valued = (reasons != Status.NO_REFERENCE) & ~np.isnan(expected)
    wrong = valued & (np.abs(trace.at(seconds, LONGEST_GAP_S) - expected) > WRONG_BPM)
    cut = valued & (reasons != "")
    return Cut(int((wrong & cut).sum()), int(wrong.sum()), int(cut.sum()), int(valued.sum()))


def readings(name: str, fault: str, duration_s: int) -> tuple[StrapReading, StrapReading]:
    """What a failing strap stores, and what it had stored with perfect contact."""
    beats = heart(name, duration_s, "cuts")
    contact, heard = Contact(), beats
    if fault == "demo":
        contact = bad_contact(duration_s, name, "cuts")
    elif fault != "none":
        heard = heard_through(beats, fault, duration_s, name, fault)
    return (
        strap_reading(heard, duration_s, AVERAGED_OVER_S, contact, name, "cuts"),
        strap_reading(beats, duration_s, AVERAGED_OVER_S, Contact(), name, "cuts"),
    )


def both_cuts(name: str, fault: str, duration_s: int, limits: Reference) -> dict[str, Cut]:
    reading, truth = readings(name, fault, duration_s)
    rate = (
        held(reading.heart_rate_bpm, round(AVERAGED_OVER_S))
        if fault == "stuck"
        else reading.heart_rate_bpm
    )
    cuts = {"averaged": cut_of_average(rate, truth.heart_rate_bpm, limits)}
    if fault != "stuck":  # a strap that repeats itself has no beats to tell of
        cuts["beats"] = cut_of_beats(reading, truth, limits)
    return cuts


def print_cuts(duration_s: int) -> None:
    print("\nSeconds cut, by failing strap and where its rate is from")
    for fault in ("none", "demo", *FAULTS):
        for source in ("averaged", "beats"):
            total = Cut(0, 0, 0, 0)
            for name in HEARTS:
                cut = both_cuts(name, fault, duration_s, Reference()).get(source)
                if cut is None:
                    continue
                total += cut
                print(f"{fault:8}{source:10}{name:31}{cut}")
            if total.seconds:
                print(f"{fault:8}{source:10}{'ALL':31}{total}")


if __name__ == "__main__":
    hours = float(sys.argv[1]) if len(sys.argv) > 1 else 1.0
    print_rules(round(3600 * hours))
    print_cuts(round(3600 * hours))
