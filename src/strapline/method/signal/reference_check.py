"""The reference on trial: in which seconds its heart rate is not to be believed, and why.

Only the reference itself is asked. To doubt it because a wrist device disagrees would favour
the device that is to be judged by it. (strapline.method.signal.reference_alone says how far several
that agree widen a doubt of which the reference's own signal gives the cause.)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from strapline.ground.records.alignment import ReferenceVerdict
from strapline.ground.vocabulary import Status
from strapline.method.signal.trace import Trace

if TYPE_CHECKING:
    from strapline.ground.settings import Reference

TRUSTED = ""

WORDS: dict[str, str] = {
    Status.NO_REFERENCE: "no value",
    Status.REFERENCE_FLAT: "flat",
    Status.REFERENCE_STEP: "impossible step",
    Status.REFERENCE_ARTEFACTS: "too many artefacts among the beats",
    Status.REFERENCE_SETTLING: "just after a dropout",
    Status.REFERENCE_ALONE: "away from devices that agree",
}

# Sizes without a setting of their own; common practice, no source.
STUCK_S = 8
# Fewer reports of one value may be chance, however far apart.
FEWEST_EQUAL = 10
LONGEST_EXCURSION_S = 45
STEP_MARGIN_S = 3
DROPOUT_S = 3.0
FACTOR_OVER_S = 4


def reasons_against(
    seconds: np.ndarray,
    reference: Trace,
    longest_gap_s: float,
    limits: Reference,
    artefact_share: np.ndarray | None = None,
) -> np.ndarray:
    """For each of `seconds`: '' where the reference is to be believed, else the first reason.

    no_reference; reference_flat; reference_step, at a change faster than a heart's and up to
    the change back; reference_artefacts; reference_settling, after a dropout of a rate that was
    averaged.

    Parameters: seconds, whole and one apart, shape (n,); reference, its trace; longest_gap_s, up
    to which it is interpolated; artefact_share, from `rr_artefacts.artefact_share_at`, shape
    (n,), for a rate from RR intervals. Returns words, shape (n,), dtype object.
    """
    rate = reference.at(seconds, longest_gap_s)
    steps = _steps(rate, limits)
    fine = artefact_share is not None or bool((reference.rate % 1 != 0).any())
    longest_flat_s = limits.longest_flat_fine_s if fine else limits.longest_flat_s
    fewest_s = FEWEST_EQUAL * reference.spacing.usual_s
    against = {
        Status.NO_REFERENCE: np.isnan(rate),
        Status.REFERENCE_FLAT: _flat(rate, steps, max(longest_flat_s, fewest_s)),
        Status.REFERENCE_STEP: _excursions(steps),
    }
    if artefact_share is not None:
        against[Status.REFERENCE_ARTEFACTS] = artefact_share > limits.largest_artefact_share
    else:
        against[Status.REFERENCE_SETTLING] = _settling(seconds, reference, limits.settle_s)
    return np.select(list(against.values()), list(against), default=TRUSTED).astype(object)


def judged(reasons: np.ndarray, limits: Reference) -> ReferenceVerdict:
    """Whether a session's reference fails too often to be evidence; none at all is too often."""
    counts = {word: int((reasons == word).sum()) for word in WORDS}
    doubtful = {word: count for word, count in counts.items() if count}
    share = sum(doubtful.values()) / reasons.size if reasons.size else 1.0
    set_aside = share > limits.largest_doubtful_share
    return ReferenceVerdict(
        seconds=reasons.size,
        doubtful=doubtful,
        share=share,
        set_aside=set_aside,
        sentence=_sentence(reasons.size, doubtful, share, limits),
    )


def _sentence(seconds: int, doubtful: dict[str, int], share: float, limits: Reference) -> str:
    if seconds == 0:
        return "The reference has no second of heart rate: the session is no evidence."
    if not doubtful:
        return f"The strap gave no cause for doubt in any of its {seconds} s."
    by_reason = ", ".join(f"{WORDS[word]} {count} s" for word, count in doubtful.items())
    told = (
        f"The reference is missing or doubtful in {100 * share:.1f} % of its {seconds} s "
        f"({by_reason})"
    )
    allowed = f"{100 * limits.largest_doubtful_share:g} %"
    if share > limits.largest_doubtful_share:
        return (
            f"{told}; at most {allowed} is allowed, so the session is no evidence. If only a part "
            "of it is spoilt, exclude that part in the session card."
        )
    return f"{told}; these seconds are not compared."


def _steps(rate: np.ndarray, limits: Reference) -> np.ndarray:
    """+1 or -1 at each second that an impossible rise or fall leads to, else 0."""
    earlier = np.full(rate.shape, np.nan)  # a missing value is no step
    earlier[FACTOR_OVER_S:] = rate[:-FACTOR_OVER_S]
    change = np.diff(rate, prepend=rate[:1])
    rise = (change > limits.largest_step_bpm) | (rate > limits.largest_rise * earlier)
    fall = (change < -limits.largest_step_bpm) | (rate < earlier / limits.largest_fall)
    return np.asarray(rise.astype(float) - fall)


def _flat(rate: np.ndarray, steps: np.ndarray, longest_s: float) -> np.ndarray:
    """Stretches of one value that last too long, or some seconds and up to an impossible step."""
    flat = np.zeros(rate.shape, dtype=bool)
    if rate.size == 0:
        return flat
    starts = np.flatnonzero(np.concatenate([[True], rate[1:] != rate[:-1]]))
    ends = np.append(starts[1:], rate.size)
    length = ends - starts
    stuck = (length >= STUCK_S) & (np.append(steps, 0.0)[ends] != 0)
    for place in np.flatnonzero((length > longest_s) | stuck):
        flat[starts[place] : ends[place]] = True
    return flat


def _excursions(steps: np.ndarray) -> np.ndarray:
    """Around each step, and from a step to the next one back, if that follows soon."""
    doubtful = np.zeros(steps.shape, dtype=bool)
    places = np.flatnonzero(steps)
    for place, following in zip(places, np.append(places, -1)[1:], strict=True):
        back = following >= 0 and steps[following] == -steps[place]
        soon = back and following - place <= LONGEST_EXCURSION_S
        end = following if soon else place
        doubtful[max(place - STEP_MARGIN_S, 0) : end + STEP_MARGIN_S] = True
    return doubtful


def _settling(seconds: np.ndarray, reference: Trace, settle_s: float) -> np.ndarray:
    """Inside a dropout (no new value for 3 s, and for longer than its own spacing allows) and soon
    after it."""
    doubtful = np.zeros(seconds.shape, dtype=bool)
    time_s, longest_s = reference.time_s, max(DROPOUT_S, reference.spacing.longest_s)
    for place in np.flatnonzero(np.diff(time_s) > longest_s):
        start, end = time_s[place], time_s[place + 1] + settle_s
        doubtful |= (seconds > start) & (seconds < end)
    return doubtful
