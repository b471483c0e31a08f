"""One session's reference on trial: its trace, the seconds not believed, and the verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.records.alignment import Alone, ReferenceVerdict
from strapline.ground.vocabulary import Status
from strapline.method.signal.grid import epoch_seconds, seconds_spanned
from strapline.method.signal.reference_check import TRUSTED, judged, reasons_against
from strapline.method.signal.trace import Trace

if TYPE_CHECKING:
    from strapline.ground.records.card import Exclusion
    from strapline.ground.settings import Reference


# Of a stretch in which devices that agree are away from it; a choice of ours.
SMALLEST_SHARE_IN_DOUBT = 0.1


@dataclass(frozen=True)
class Trial:
    """seconds, shape (n,), are the whole seconds of the reference's span; reasons, shape (n,),
    what speaks against it in each, '' if nothing does. `believed` is the trace without the
    values of doubtful seconds. The verdict leaves out what the session card excludes."""

    trace: Trace
    believed: Trace
    seconds: np.ndarray
    reasons: np.ndarray
    verdict: ReferenceVerdict

    @classmethod
    def of(
        cls, trace: Trace, reasons: np.ndarray, exclude: Sequence[Exclusion], limits: Reference
    ) -> Trial:
        """By these reasons against its seconds."""
        seconds = seconds_spanned(trace.time_s)
        verdict = judged(reasons[~inside_any(seconds, exclude)], limits)
        return cls(trace, trace.without(seconds[reasons != TRUSTED]), seconds, reasons, verdict)


def try_reference(
    normalised: pd.DataFrame, exclude: Sequence[Exclusion], longest_gap_s: float, limits: Reference
) -> Trial:
    """Try a reference, a frame under NORMALISED, by its own signal alone.

    One that reports too seldom for a line is taken at its word: what is looked for lasts seconds.
    """
    trace = Trace.of(normalised)
    seconds = seconds_spanned(trace.time_s)
    if not trace.spacing.by_line:
        untried = np.full(seconds.shape, TRUSTED, dtype=object)
        sentence = (
            f"The reference reports only every {trace.spacing.usual_s:.0f} s, too seldom to be "
            "doubted by the second."
        )
        verdict = judged(untried, limits).model_copy(update={"sentence": sentence})
        return Trial(trace, trace, seconds, untried, verdict)
    share = _artefact_share(normalised, seconds)
    reasons = reasons_against(seconds, trace, longest_gap_s, limits, share)
    return Trial.of(trace, reasons, exclude, limits)


def supported(trial: Trial, apart: Sequence[Alone]) -> tuple[Alone, ...]:
    """The stretches, each with whether much of it is in doubt by the reference's own signal."""
    return tuple(
        one.model_copy(update={"doubted": bool(share >= SMALLEST_SHARE_IN_DOUBT)})
        for one in apart
        for share in [(trial.reasons[one.start_s : one.end_s] != TRUSTED).mean()]
    )


def doubting(
    trial: Trial, apart: Sequence[Alone], exclude: Sequence[Exclusion], limits: Reference
) -> Trial:
    """The trial with all of the stretches doubted that are, and not only their worst seconds."""
    doubted = [one for one in apart if one.doubted]
    if not doubted:
        return trial
    reasons = trial.reasons.copy()
    for one in doubted:
        stretch = reasons[one.start_s : one.end_s]
        stretch[stretch == TRUSTED] = Status.REFERENCE_ALONE
    return Trial.of(trial.trace, reasons, exclude, limits)


def inside_any(seconds: np.ndarray, spans: Sequence[Exclusion]) -> np.ndarray:
    """Whether each of `seconds`, shape (n,), lies in a span, counted from the first of them."""
    inside = np.zeros(seconds.shape, dtype=bool)
    for span in spans:
        elapsed = seconds - seconds[:1]
        inside |= (elapsed >= span.start) & (elapsed < span.end)
    return inside


def _artefact_share(normalised: pd.DataFrame, seconds: np.ndarray) -> np.ndarray | None:
    """The share of artefacts at each of `seconds`; None for a rate that is not from beats."""
    known = normalised[normalised["artefact_share"].notna()]
    if known.empty:
        return None
    return np.asarray(
        np.interp(seconds, epoch_seconds(known["time"]), known["artefact_share"].to_numpy())
    )
