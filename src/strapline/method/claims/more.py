"""How many more sessions it takes to show what is not shown yet, if the spread stays as seen."""

import math
from statistics import NormalDist

from scipy.special import stdtr

from strapline.ground.words import counted
from strapline.method.agreement.interval import t_quantile
from strapline.method.metrics.value import Value

# Beyond this the number hangs on the spread more than on anything that is known.
MOST = 30


def more_sessions(
    value: Value, sessions: int, p: float = math.nan, from_: float = 0.0, level: float = 0.95
) -> int | None:
    """Until an interval of this level about the same value leaves out `from_`; None beyond `MOST`.

    Student's t grows by the root of the sessions. p: adjusted for all that is judged together,
    where the interval is not; what it is above the interval's own is asked of further sessions too.
    """
    freedom, half = sessions - 1, (value.high - value.low) / 2
    if freedom < 1 or not half > 0:
        return None
    t = abs(value.value - from_) / half * t_quantile(freedom, level)
    own_p = 2 * (1 - float(stdtr(freedom, t)))
    judged = max(p / own_p, 1.0) if p == p and own_p > 0 else 1.0
    wanted = 1 - (1 - level) / judged
    for more in range(1, MOST + 1):
        then = sessions + more
        if t * math.sqrt(then / sessions) > t_quantile(then - 1, wanted):
            return more
    return None


def takes(
    value: Value, sessions: int, p: float = math.nan, from_: float = 0.0, level: float = 0.95
) -> str:
    """'It takes about 14 more sessions to show it, if the spread stays as seen.'"""
    return _takes(more_sessions(value, sessions, p, from_, level), "the spread")


def takes_for_share(percent: float, sessions: int, level: float = 0.95) -> str:
    """The same of a share of sessions that is to be apart from a half: as Wilson's interval is,
    where it is so by more than z over twice the root of the sessions."""
    distance = abs(percent - 50) / 100
    z = NormalDist().inv_cdf((1 + level) / 2)
    needed = (z / (2 * distance)) ** 2 if distance else math.inf
    more = max(needed - sessions, 0)
    return _takes(math.floor(more) + 1 if more < MOST else None, "the share")


def _takes(more: int | None, as_seen: str) -> str:
    about = f"more than {MOST} more sessions"
    if more is not None:
        about = f"about {counted(more, 'more session')}"
    return f"It takes {about} to show it, if {as_seen} stays as seen."
