"""What an app states of a device that exports nothing, beside the strap: average and highest, and
nothing else."""

from __future__ import annotations

import math

from strapline.ground.records.stated import Stated
from strapline.ground.vocabulary import HeldAgainst, StatedFigure
from strapline.ground.words import lasting, number, reading
from strapline.method.signal.trace import Trace
from strapline.method.stated.held import Held, apart, rounding_of
from strapline.method.stated.stretch import Stretch

# Of the stated time, the strap must have so much: common practice, no source.
LEAST_SHARE = 0.75
NEARLY_ALL = 0.98


def beside_strap(label: str, stated: Stated, strap: Trace, begins_s: float) -> list[Held]:
    """The app's average and highest beside those of a strap that is believed, over the stated time
    from `begins_s` on; all of the strap's from then on, where the card states no time."""
    ends_s = math.inf if stated.duration is None else begins_s + stated.duration
    part = Stretch.of(strap, begins_s, ends_s)
    asked_s = stated.duration or part.recorded_s
    enough = part.recorded_s > 0 and part.recorded_s >= LEAST_SHARE * asked_s
    held = []
    for figure, value, measured in (
        (StatedFigure.AVERAGE, stated.average_bpm, part.average_bpm),
        (StatedFigure.MAXIMUM, stated.maximum_bpm, part.maximum_bpm),
    ):
        if value is None:
            continue
        if not enough:
            sentence = _too_little(label, part.recorded_s, stated.duration)
        elif figure == StatedFigure.AVERAGE:
            sentence = (
                f"As its app states, {label} averaged {reading(value)} bpm, "
                f"{apart(value, measured)} than the strap "
                f"{_over(part.recorded_s, stated.duration)} ({number(measured)})."
            )
        else:
            sentence = (
                f"As its app states, {label} reached {reading(value)} bpm, "
                f"{apart(value, measured)} than the strap’s highest ({reading(measured)})."
            )
        held.append(
            Held(
                figure,
                HeldAgainst.STRAP,
                value,
                measured if enough else math.nan,
                rounding_of(value),
                part.recorded_s,
                sentence,
            )
        )
    return held


def _over(recorded_s: float, stated_s: float | None) -> str:
    if stated_s is None:
        return f"over all the {lasting(recorded_s)} that the strap has"
    if recorded_s >= NEARLY_ALL * stated_s:
        return f"over the same {lasting(stated_s)}"
    return f"over the {lasting(recorded_s)} of these {lasting(stated_s)} that it has"


def _too_little(label: str, recorded_s: float, stated_s: float | None) -> str:
    of = f" of the {lasting(stated_s)}" if stated_s else ""
    return (
        f"What {label}’s app states cannot be held against the strap, which can be believed for "
        f"only {lasting(recorded_s)}{of}."
    )
