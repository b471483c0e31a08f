"""RR intervals in rows at even steps, such as one a second: each row holds the latest."""

import numpy as np

from strapline.reading.formats.columns import Reals

FEWEST = 8
# A share of steps that agree within this is no chance.
_EVEN, _MOSTLY = 0.05, 0.8
_STRETCH_S, _SHORTEST_STRETCH_S = 60.0, 30.0
# Rows that come with the beats share a time now and then, where times are whole seconds.
_SHARED = 0.02
# In so many rows end no more beats than their intervals have room in them, and one.
_ROWS, _SELDOM, _SLACK = 10, 0.01, 1.02
# A rate times ten is a number of tens, and stays the same for longer than a beat. Intervals to the
# hundredth of a second do so when beats come fast.
_TENS, _FEWEST_TENS, _RENEWED, _SLOW_S = 10, 4, 0.8, 0.55


def sampled_every_s(rr_ms: Reals, times_s: Reals) -> float | None:
    """The even step of rows whose intervals do not fill the time between them; None where rows come
    with the beats."""
    rr_s, times = _known(rr_ms, times_s)
    steps = np.diff(times)
    if steps.size < FEWEST or (usual := float(np.median(steps))) <= 0:
        return None
    if np.mean(np.abs(steps - usual) <= _EVEN * usual) < _MOSTLY or (steps <= 0).mean() > _SHARED:
        return None
    starts = np.arange(times[0], times[-1] - _SHORTEST_STRETCH_S, _STRETCH_S)
    places = np.unique([0, *np.searchsorted(times, starts), times.size - 1])
    filled = np.diff(np.cumsum(rr_s)[places]) / np.diff(times[places])
    return usual if np.mean(np.abs(filled - 1) > _EVEN) > 1 - _MOSTLY else None


def no_latest(rr_ms: Reals, times_s: Reals, step_s: float) -> str | None:
    """Why intervals in rows `step_s` apart are not each the latest, or None."""
    rr_s, times = _known(rr_ms, times_s)
    typical = float(np.median(rr_s))
    is_next = np.abs(np.diff(times) - step_s) <= _EVEN * step_s
    is_new = (np.diff(rr_s) != 0)[is_next]
    if typical < 2 * step_s and is_new.size >= _ROWS:
        begun = np.convolve(is_new * rr_s[1:][is_next], np.ones(_ROWS), mode="valid")
        if np.mean(begun - typical > _SLACK * _ROWS * step_s) > _SELDOM:
            return f"they change more often than intervals of {1000 * typical:.0f} ms can"
    values = np.unique(np.round(1000 * rr_s, 3))
    are_tens = values.size >= _FEWEST_TENS and not (values % _TENS).any()
    if are_tens and typical > _SLOW_S and is_new.mean() < _RENEWED * min(1.0, step_s / typical):
        return "they are all tens, and stay the same for longer than a beat lasts"
    return None


def _known(rr_ms: Reals, times_s: Reals) -> tuple[Reals, Reals]:
    known = np.isfinite(rr_ms) & np.isfinite(times_s) & (rr_ms > 0)
    return rr_ms[known] / 1000, times_s[known]
