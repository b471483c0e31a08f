"""How late a device follows, and when it first locks on."""

from __future__ import annotations

import math

from strapline.ground.records.alignment import Delay
from strapline.method.metrics import again
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import delay, none
from strapline.method.metrics.metric import OWN, Metric
from strapline.method.signal.response import LOCK_HOLD_S, first_lock


def _rising(c: Compared) -> Delay | None:
    return c.clock.rising if c.clock else None


def _falling(c: Compared) -> Delay | None:
    return c.clock.falling if c.clock else None


def _seconds(found: Delay | None) -> float:
    return math.nan if found is None else found.delay_s


def _first_lock(c: Compared) -> float:
    tolerance = c.tolerance
    near = tolerance.beats, tolerance.percent
    locked = first_lock(c.reference, c.device, LOCK_HOLD_S, *near)
    return math.nan if locked is None else float(locked)


DELAYS = (
    Metric(
        key="delay_rising",
        name="Delay, rising",
        meaning="How late it follows a rise; not told where heart rate set its clock.",
        unit="s",
        plus=True,
        formula="shift plus mean delay of the smoothing at rises of at least 6 bpm over 20 s, "
        "those that bring the reference’s changes over 30 s closest to the device’s",
        source=OWN,
        interval=delay(_rising),
        value=lambda c: _seconds(_rising(c)),
        again=None,
        given="whole session in order",
    ),
    Metric(
        key="delay_falling",
        name="Delay, falling",
        meaning="How late it follows a fall.",
        unit="s",
        plus=True,
        formula="shift plus mean delay of the smoothing at falls of at least 6 bpm over 20 s, "
        "those that bring the reference’s changes over 30 s closest to the device’s",
        source=OWN,
        interval=delay(_falling),
        value=lambda c: _seconds(_falling(c)),
        again=None,
        given="whole session in order",
    ),
    Metric(
        key="first_lock",
        name="First lock",
        meaning="Until it first stays near the strap for 30 s.",
        unit="s",
        formula="seconds, from the first that could be compared, until d stays within {beats:g} "
        "bpm or {percent:g} % of r, whichever is wider, for 30 s",
        source=OWN,
        interval=none("it happens once in a session"),
        value=_first_lock,
        again=again.first_lock,
        given="whole session in order",
    ),
)
