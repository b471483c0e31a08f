"""One session's reference on trial: its trace, the seconds not believed, and the verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.records.alignment import ReferenceVerdict
from strapline.method.signal.grid import epoch_seconds, seconds_spanned
from strapline.method.signal.reference_check import TRUSTED, judged, reasons_against
from strapline.method.signal.trace import Trace

if TYPE_CHECKING:
    from strapline.ground.records.card import Exclusion
    from strapline.ground.settings import Reference


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
    in_question = ~inside_any(seconds, exclude)
    doubtful = seconds[reasons != TRUSTED]
    return Trial(
        trace=trace,
        believed=trace.without(doubtful),
        seconds=seconds,
        reasons=reasons,
        verdict=judged(reasons[in_question], limits),
    )


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
