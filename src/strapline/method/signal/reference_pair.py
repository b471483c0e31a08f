"""Two references worn at once: how they compare, and whether one of them is the faulty one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from strapline.ground.records.alignment import ClockDecision, SecondReference
from strapline.ground.vocabulary import Faulty
from strapline.method.signal.reference_check import TRUSTED
from strapline.method.signal.reference_trial import Trial

if TYPE_CHECKING:
    from strapline.ground.records.intake import RecordingIntake

WITHIN_BPM = 5.0

# The two are at odds when this share of seconds is apart; common practice, no source.
SMALLEST_SHARE_APART = 0.02
# One of them is faulty when it alone is doubtful in this share of the seconds apart.
CLEARLY = 0.7


def compare_references(
    first: np.ndarray,
    second: np.ndarray,
    first_reasons: np.ndarray,
    second_reasons: np.ndarray,
    entry: RecordingIntake,
) -> SecondReference:
    """Compare rates (bpm, NaN where missing) at the same seconds, with the reasons against each
    (`reference_check.reasons_against`); all of one shape (n,). `entry`: of the second.

    Two references cannot outvote each other. One is called faulty only if, where they are
    apart, its own signal speaks against it, and the other's does not against the other.
    """
    difference = np.asarray(second, dtype=float) - np.asarray(first, dtype=float)
    both = ~np.isnan(difference)
    if not both.any():
        return SecondReference(
            recording=entry.recording,
            seconds=0,
            share_within=None,
            median_difference_bpm=None,
            faulty=Faulty.UNCLEAR,
            sentence=f"{entry.label} and the reference have no second in common.",
        )
    seconds, apart = int(both.sum()), np.abs(difference) > WITHIN_BPM
    share_within = 1 - float(apart[both].mean())
    faulty = _faulty(apart, both, first_reasons != TRUSTED, second_reasons != TRUSTED)
    return SecondReference(
        recording=entry.recording,
        seconds=seconds,
        share_within=share_within,
        median_difference_bpm=float(np.median(difference[both])),
        faulty=faulty,
        sentence=(
            f"{entry.label} is within {WITHIN_BPM:g} bpm of the reference in "
            f"{100 * share_within:.1f} % of {seconds} s: {_whose(faulty, entry.label)}"
        ),
    )


def _whose(faulty: Faulty, label: str) -> str:
    return {
        Faulty.NEITHER: "the two references agree.",
        Faulty.FIRST: "where they part, it is the reference whose own signal looks faulty.",
        Faulty.SECOND: f"where they part, it is {label} whose own signal looks faulty.",
        Faulty.UNCLEAR: "they part, and neither signal tells which of them is right.",
    }[faulty]


def _faulty(apart: np.ndarray, both: np.ndarray, first: np.ndarray, second: np.ndarray) -> Faulty:
    if apart.sum() < SMALLEST_SHARE_APART * both.sum():
        return Faulty.NEITHER
    if (first & ~second)[apart].mean() >= CLEARLY:
        return Faulty.FIRST
    return Faulty.SECOND if (second & ~first)[apart].mean() >= CLEARLY else Faulty.UNCLEAR


def beside(
    first: Trial, second: Trial, clock: ClockDecision, entry: RecordingIntake, longest_gap_s: float
) -> SecondReference:
    """How the second reference compares with the first, after what was decided on its clock."""
    trace = second.trace.shifted(clock.offsets(second.trace.time_s))
    # Its reasons stand by its own clock; the nearest second is near enough.
    place = np.round(first.seconds - clock.offset_s - second.seconds[:1]).astype(int)
    inside = (place >= 0) & (place < second.seconds.size)
    reasons = np.full(first.seconds.shape, TRUSTED, dtype=object)
    reasons[inside] = second.reasons[place[inside]]
    return compare_references(
        first.trace.at(first.seconds, longest_gap_s),
        trace.at(first.seconds, longest_gap_s),
        first.reasons,
        reasons,
        entry,
    )
