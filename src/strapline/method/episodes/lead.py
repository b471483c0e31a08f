"""What is said of a device first: averages and maxima, and how late it ran."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.words import bpm, lasting, number, reading
from strapline.method.episodes.spoken import fits

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision, Delay

# Below this share of what a device has, its averages are not those of all that it showed.
NEARLY_ALL = 0.98
# Means over so long hide a strap's peak.
FAR_APART_S = 30
# A delay is most of an error that it halves, and is hidden by averages this near.
MOST = 0.5
SENSOR_OR_CLOCK = "Nothing tells whether its sensor was late or its clock was wrong."
HIDDEN_BPM = 5.0
# An error that a delay takes no more from has other causes.
HARDLY_BPM = 0.1
# Rises and falls that differ by less are told together.
APART_S = 2.0


def lead(label: str, course: pd.Series) -> list[str]:
    """Averages and maxima of both, and the difference: in one sentence, or two under a long
    label."""
    averaged = f"{label} averaged {average(course)}"
    peaked = f"peaked at {maximum(course)}"
    both = f"{averaged} and {peaked}."
    return [both] if fits(both) else [f"{averaged}.", f"It {peaked}."]


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
    """Over which seconds, where they are not all in which it was compared; over those, which the
    error is of, too. And what a maximum is where reports are far apart."""
    own = number(course["own_device_bpm"]), number(course["own_reference_bpm"])
    shared = number(course["mean_device_bpm"]), number(course["mean_reference_bpm"])
    if course["averaged_s"] < NEARLY_ALL * course["compared_s"] or own != shared:
        yield (
            f"That is over the {lasting(course['averaged_s'])} in which every device could be "
            "compared."
        )
        yield (
            f"Over all of its own {lasting(course['compared_s'])} it averaged {own[0]} against "
            f"{own[1]}."
        )
    if course["interval_s"] >= FAR_APART_S:
        each = lasting(round(course["interval_s"]))
        yield f"Both peaks are of means over {each}, the time between its values."


def aloud(label: str, course: pd.Series) -> list[str]:
    """The same as one says it, in whole beats where these tell it."""
    mean, strap_mean = course["mean_device_bpm"], course["mean_reference_bpm"]
    top, strap_top = course["maximum_device_bpm"], course["maximum_reference_bpm"]
    off = abs(mean - strap_mean)
    own, strap, by = _said(mean, strap_mean)
    told = [f"{label} averaged {own} beats a minute, where the strap averaged {strap}."]
    if off >= 1:
        side = "low" if mean < strap_mean else "high"
        told.append(f"Its average was {by} too {side}, or {whole(100 * off / strap_mean)} percent.")
    own, strap, _ = _said(top, strap_top)
    told.append(f"Its highest reading was {own}, where the strap’s was {strap}.")
    return told


def _said(device: float, strap: float) -> tuple[str, str, str]:
    """Both and their difference, in whole beats; to a tenth where whole ones would show another
    difference."""
    alike = round(device) - round(strap) == round(device - strap)
    said = whole if alike else number
    return said(device), said(strap), said(abs(device - strap))


def error_and_delay(course: pd.Series, clock: ClockDecision | None) -> list[str]:
    """How far off it was, and how late; by its sensor, as far as its clock is sure."""
    error, left = course["error_bpm"], course["error_without_delay_bpm"]
    off = f"It was {bpm(error)} off on average"
    if clock is not None and clock.is_fitted:
        if clock.pieces:
            return [f"{off}, once a pause that one of the files left out was put back."]
        return [f"{off} once heart rate had set its clock, which flatters it."]
    if clock is None or clock.delay is None:
        return [f"{off}."]
    by_clock = clock.delay.by_clock(clock.within_s)
    if by_clock.is_none and not _uneven_s(clock):
        within_s = math.ceil(max(abs(by_clock.low_s), abs(by_clock.high_s)))
        return [f"{off}, and ran with the strap to within {max(within_s, 1)} s."]
    ran = _ran(clock, clock.delay)
    if pd.isna(left) or error - left < HARDLY_BPM:
        return [*ran, f"{off}."]
    if not clock.ground:
        moved = f"Moved by {whole(abs(clock.delay.delay_s))} s"
        known = moved if _uneven_s(clock) else "If that were all clock"
        return [*ran, f"{known}, its error would be {number(left)} instead of {bpm(error)}."]
    if error - left < MOST * error or error - left < 1:
        return [*ran, f"{off}; without the delay it would be {bpm(left)}."]
    mean_off = abs(course["mean_device_bpm"] - course["mean_reference_bpm"])
    top_off = abs(course["maximum_device_bpm"] - course["maximum_reference_bpm"])
    hidden = mean_off < min(MOST * error, HIDDEN_BPM) and top_off <= HIDDEN_BPM
    hides = "; average and peak hide that" if hidden else ""
    return [*ran, f"{off}, mostly because of that{hides}."]


def _uneven_s(clock: ClockDecision) -> int:
    """How much later it runs at rises than at falls, or the reverse, at least; 0 where both are
    told together."""
    uneven = clock.uneven
    if uneven is None or abs(uneven.delay_s) < APART_S:
        return 0
    return math.floor(max(uneven.low_s, -uneven.high_s, 0.0))


def _are_alike(clock: ClockDecision, delay: Delay) -> bool:
    """Whether both are told about as narrowly as both together."""
    widest_s = delay.high_s - delay.low_s + APART_S
    sides = clock.rising, clock.falling
    return all(side and side.high_s - side.low_s <= widest_s for side in sides)


def _ran(clock: ClockDecision, delay: Delay) -> list[str]:
    """How far behind the strap, at rises and falls, and how sure its clock is."""
    rising, falling = clock.rising, clock.falling
    if rising and falling and _uneven_s(clock):
        ran = (
            f"It ran {_behind(rising)} at rises ({_ends(rising, clock)}) and {_behind(falling)} at "
            "falls"
        )
        known = _ends(falling, clock)
    else:
        ran = f"It ran {_behind(delay)}{' of' if delay.delay_s < 0 else ''} the strap"
        ran += " at rises and falls alike" if _are_alike(clock, delay) else ""
        known = _ends(delay, clock)
    if not clock.ground:
        return _by_either(ran, known, clock)
    sure = f", with a clock {clock.ground}" if clock.within_s else f"; clock {clock.ground}"
    together = f"{ran} ({known}{sure})."
    if fits(together):
        return [together]
    own = "That allows for a clock" if clock.within_s else "Its clock is"
    return [f"{ran} ({known}).", f"{own} {clock.ground}."]


def _by_either(ran: str, known: str, clock: ClockDecision) -> list[str]:
    """That nothing tells sensor and clock apart; but a clock shifts rises and falls alike."""
    if clock.uneven and (least_s := _uneven_s(clock)):
        later = "rises" if clock.uneven.delay_s > 0 else "falls"
        sure = (
            f"A clock shifts both alike, so at least {least_s} s at {later} is its sensor’s; the "
            "rest may be its clock’s."
        )
        return [f"{ran} ({known}).", sure]
    either = f"{ran} ({known}), by its sensor or by its clock."
    return [either] if fits(either) else [f"{ran} ({known}).", SENSOR_OR_CLOCK]


def _behind(delay: Delay) -> str:
    return f"{whole(abs(delay.delay_s))} s {'behind' if delay.delay_s > 0 else 'ahead'}"


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
