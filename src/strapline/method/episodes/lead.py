"""What is said of a device first: how far off it was and how late, averages and maxima."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.words import bpm, lasting, number, reading
from strapline.method.episodes.spoken import fits, spoken

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision, Delay

# Means over so long hide a strap's peak.
FAR_APART_S = 30
# Where nothing tells its clock, lateness is no fault of the device for certain.
BY_EITHER = ", by its sensor or its clock"
# An error that a delay takes no more from has other causes.
HARDLY_BPM = 0.1
# Rises and falls that differ by less are told together.
APART_S = 2.0


def lead(course: pd.Series) -> str:
    """Averages and maxima of both, and the difference."""
    return f"It averaged {average(course)} and peaked at {maximum(course)}."


def lead_aloud(course: pd.Series) -> tuple[str, str]:
    """The same as one says it."""
    means = number(course["mean_device_bpm"]), number(course["mean_reference_bpm"])
    tops = reading(course["maximum_device_bpm"]), reading(course["maximum_reference_bpm"])
    return (
        spoken(f"It averaged {means[0]} bpm, the strap {means[1]}."),
        f"Its highest reading was {tops[0]}, the strap’s {tops[1]}.",
    )


def average(course: pd.Series) -> str:
    """'107.0 bpm against the strap’s 115.6 (−8.6 bpm, −7 %)'."""
    mean, strap_mean = course["mean_device_bpm"], course["mean_reference_bpm"]
    change = _change(mean, strap_mean, number, " bpm")
    return f"{bpm(mean)} against the strap’s {number(strap_mean)} ({change})"


def maximum(course: pd.Series) -> str:
    """'136 against 153.6 (−17.6, −11 %)'."""
    top, strap_top = course["maximum_device_bpm"], course["maximum_reference_bpm"]
    return f"{reading(top)} against {reading(strap_top)} ({_change(top, strap_top, _signed)})"


def ground(course: pd.Series) -> Iterator[str]:
    """What a maximum is where reports are far apart."""
    if course["interval_s"] >= FAR_APART_S:
        each = lasting(round(course["interval_s"]))
        yield f"Both peaks are of means over {each}, the time between its values."


def off(label: str, course: pd.Series, clock: ClockDecision | None) -> str:
    """How far off it was, and what flatters it."""
    told = f"{label} was {bpm(course['error_bpm'])} off on average"
    if clock is None or not clock.is_fitted:
        return f"{told}."
    if clock.pieces:
        return f"{told}, once a pause that one of the files left out was put back."
    return f"{told} once heart rate had set its clock, which flatters it."


def late(course: pd.Series, clock: ClockDecision | None) -> list[str]:
    """How late it was, how sure its clock is, and what moving it by that would leave."""
    if clock is None or clock.delay is None or clock.is_fitted:
        return []
    delay, uneven_s = clock.delay, _uneven_s(clock)
    by_clock = delay.by_clock(clock.within_s)
    if by_clock.is_none and not uneven_s:
        return [f"It was {_nowhere_clear(math.ceil(-by_clock.low_s), math.ceil(by_clock.high_s))}."]
    sides = [(clock.rising, " at rises"), (clock.falling, " at falls")]
    told = [(each, at) for each, at in sides if each] if uneven_s else [(delay, "")]
    parts = [f"{_late(each)}{at} ({_ends(each, clock)})" for each, at in told]
    ran = f"It was {' and '.join(parts)}{'' if uneven_s else _by_either(clock)}."
    return [*_with_clock(ran, clock), *_of_either(clock, uneven_s), *_without(course, delay)]


def _nowhere_clear(early_s: int, late_s: int) -> str:
    if early_s > 0 < late_s:
        return f"between {early_s} s early and {late_s} s late"
    return f"at most {late_s} s late" if late_s > 0 else f"at most {early_s} s early"


def late_aloud(clock: ClockDecision | None) -> list[str]:
    """The same in a breath."""
    if clock is None or clock.delay is None or clock.is_fitted:
        return []
    if clock.delay.by_clock(clock.within_s).is_none and not _uneven_s(clock):
        return []
    return [f"It was {_late(clock.delay)}{_by_either(clock)}."]


def _by_either(clock: ClockDecision) -> str:
    """What else may have made it late."""
    if clock.ground:
        return ""
    if clock.assumed_start:
        return f", by its sensor or by {clock.assumed_start} start, which is assumed"
    return BY_EITHER


def _with_clock(ran: str, clock: ClockDecision) -> list[str]:
    if not clock.ground:
        return [ran]
    together = f"{ran.removesuffix(').')}; clock {clock.ground})."
    return [together] if fits(together) else [ran, f"Its clock is {clock.ground}."]


def _of_either(clock: ClockDecision, uneven_s: int) -> list[str]:
    """That a clock, where nothing tells it, shifts rises and falls alike."""
    if clock.ground or not (clock.uneven and uneven_s):
        return []
    later = "rises" if clock.uneven.delay_s > 0 else "falls"
    return [f"A clock shifts both alike, so at least {uneven_s} s at {later} is its sensor’s."]


def _without(course: pd.Series, delay: Delay) -> list[str]:
    """What of the error is left without a delay that takes any from it."""
    error, left = course["error_bpm"], course["error_without_delay_bpm"]
    if pd.isna(left) or error - left < HARDLY_BPM:
        return []
    return [f"Moved by {whole(abs(delay.delay_s))} s, it would be {bpm(left)} off."]


def _uneven_s(clock: ClockDecision) -> int:
    """How much later it runs at rises than at falls, or the reverse, at least; 0 where both are
    told together."""
    uneven = clock.uneven
    if uneven is None or abs(uneven.delay_s) < APART_S:
        return 0
    return math.floor(max(uneven.low_s, -uneven.high_s, 0.0))


def _late(delay: Delay) -> str:
    return f"{whole(abs(delay.delay_s))} s {'late' if delay.delay_s > 0 else 'early'}"


def _ends(delay: Delay, clock: ClockDecision) -> str:
    """'8 to 11 s', by a clock as sure as this one; to the side that it runs, '−1 to 3 s'."""
    by_clock = delay.by_clock(clock.within_s)
    low, high = by_clock.low_s, by_clock.high_s
    if delay.delay_s < 0:
        low, high = -high, -low
    return f"{number(math.floor(low), decimals=0)} to {math.ceil(high)} s"


def whole(value: float) -> str:
    return number(value, decimals=0)


def _signed(value: float, plus: bool) -> str:
    return reading(value) if not plus or value < 0 else f"+{reading(value)}"


def _change(value: float, strap: float, said: Callable[[float, bool], str], unit: str = "") -> str:
    change = value - strap
    if not round(change, 1):
        return "the same"
    percent = 100 * change / strap
    return f"{said(change, True)}{unit}, {number(percent, True, int(abs(percent) < 1))} %"
