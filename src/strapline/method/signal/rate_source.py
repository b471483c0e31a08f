"""Which of a recording's two heart rates is used: its RR intervals or the rates beside them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from strapline.ground.records.register import REFERENCE_KINDS
from strapline.ground.vocabulary import Role
from strapline.method.signal.grid import seconds_spanned
from strapline.method.signal.spans import spans_of, within

if TYPE_CHECKING:
    from strapline.ground.records.intake import RecordingIntake

# RR intervals of which less is kept, as a share of the time that the rates last, serve nothing.
SMALLEST_SHARE_OF_TIME = 0.5
# From this share on, what they leave out is lost, and not worth another kind of rate.
NEARLY_ALL = 0.9
SHORTEST_STRETCH_S = 10
# A strap's own rates lag behind its intervals by some seconds; another sensor's differ by more.
LARGEST_DIFFERENCE_BPM = 8.0

Use = Literal["rates", "intervals", "both"]


@dataclass(frozen=True)
class Source:
    """Which to use; for both, the whole seconds in which there are only rates; and a sentence,
    where there is something to say."""

    use: Use
    only_rates_s: np.ndarray
    said: str | None = None


def source_of(
    rate_s: np.ndarray,
    rate: np.ndarray,
    end_s: np.ndarray,
    rr_ms: np.ndarray,
    kept: np.ndarray,
    entry: RecordingIntake,
) -> Source:
    """By the card's word, else by what covers more, in a reference; a device under test is judged
    by the rates it shows.

    rate_s, rate: times and values of the rates that are kept, ascending, shape (n,). end_s, rr_ms,
    kept: the ends of all RR intervals that have a time, ascending, their lengths and whether they
    are kept, shape (m,).
    """
    nothing = np.array([])
    if not kept.any() or not rate_s.size:
        other = {"rr": "RR intervals", "rate": "rates"}.get(entry.use or "")
        use: Use = "intervals" if kept.any() else "rates"
        missing = other is not None and (entry.use == "rr") != (use == "intervals")
        said = f"The card wants its {other}, and it has none that can be used." if missing else None
        return Source(use, nothing, said)
    if entry.use is not None:
        return Source("intervals" if entry.use == "rr" else "rates", nothing)
    if entry.role != Role.REFERENCE and entry.device_kind not in REFERENCE_KINDS:
        return Source("rates", nothing)
    length_s = rate_s[-1] - rate_s[0]
    share = rr_ms[kept].sum() / 1000 / length_s if length_s else 1.0
    if share < SMALLEST_SHARE_OF_TIME:
        said = f"Its RR intervals cover only {100 * share:.0f} % of it, so its rates are used."
        return Source("rates", nothing, said)
    seconds = seconds_spanned(rate_s)
    covered = _covered(seconds, end_s, rr_ms)
    if not seconds.size or covered.mean() >= NEARLY_ALL:
        return Source("intervals", nothing)
    apart = _difference(rate_s, rate, end_s[kept], rr_ms[kept])
    if apart > LARGEST_DIFFERENCE_BPM:
        said = (
            f"Its RR intervals cover {100 * covered.mean():.0f} % of it, and its rates differ from "
            f"them by {apart:.0f} bpm: the rest is left empty, for those may be another sensor's. "
            "A card can say use: rate."
        )
        return Source("intervals", nothing, said)
    missing_s = _long_stretches(seconds, ~covered)
    said = (
        f"Its RR intervals cover {100 * covered.mean():.0f} % of it; in the other "
        f"{missing_s.size} s its own averaged rates are used."
    )
    return Source("both" if missing_s.size else "intervals", missing_s, said)


def _covered(seconds: np.ndarray, end_s: np.ndarray, rr_ms: np.ndarray) -> np.ndarray:
    """Whether an RR interval was recorded in each second, kept or not."""
    after = np.searchsorted(end_s, seconds)
    inside = after < end_s.size
    place = np.minimum(after, end_s.size - 1)
    start = end_s[place] - rr_ms[place] / 1000
    return np.asarray(inside & (start <= seconds + 1))


def _difference(
    rate_s: np.ndarray, rate: np.ndarray, end_s: np.ndarray, rr_ms: np.ndarray
) -> float:
    """The median difference in bpm, in the times of the intervals."""
    inside = (end_s >= rate_s[0]) & (end_s <= rate_s[-1])
    if not inside.any():
        return 0.0
    beside = np.interp(end_s[inside], rate_s, rate)
    return float(np.median(np.abs(60_000 / rr_ms[inside] - beside)))


def _long_stretches(seconds: np.ndarray, missing: np.ndarray) -> np.ndarray:
    """The seconds of every stretch of missing ones that is long enough."""
    long = [(start, end) for start, end in spans_of(missing) if end - start >= SHORTEST_STRETCH_S]
    stretches: np.ndarray = seconds[within(long, seconds.size)]
    return stretches
