"""What is said of a device first: averages and maxima, and how late it ran."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pandas as pd

from strapline.ground.words import bpm, lasting, number, reading
from strapline.method.episodes.sentence_length import fits

# Below this share of what a device has, its averages are not those of all that it showed.
NEARLY_ALL = 0.98
# A delay is most of an error that it halves, and is hidden by averages this near.
MOST = 0.5
HIDDEN_BPM = 5.0


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
    """Over which seconds, where they are not all in which it was compared."""
    if course["averaged_s"] < NEARLY_ALL * course["compared_s"]:
        yield (
            f"That is over the {lasting(course['averaged_s'])} in which every device could be "
            "compared."
        )


def aloud(label: str, course: pd.Series) -> list[str]:
    """The same as one says it, in whole beats."""
    mean, strap_mean = course["mean_device_bpm"], course["mean_reference_bpm"]
    top, strap_top = course["maximum_device_bpm"], course["maximum_reference_bpm"]
    off = abs(mean - strap_mean)
    told = [
        f"{label} averaged {whole(mean)} beats a minute, where the strap averaged "
        f"{whole(strap_mean)}."
    ]
    if off >= 1:
        side = "low" if mean < strap_mean else "high"
        told.append(f"That is {whole(off)} too {side}, or {whole(100 * off / strap_mean)} percent.")
    told.append(f"Its highest reading was {whole(top)}, where the strap’s was {whole(strap_top)}.")
    return told


def error_and_delay(course: pd.Series) -> tuple[bool, list[str]]:
    """Whether most of its error is that it ran late, and the sentences on error and delay."""
    error, left, delay = (
        course[name] for name in ("error_bpm", "error_without_delay_bpm", "delay_s")
    )
    off = f"It was {bpm(error)} off on average"
    if pd.isna(delay) or pd.isna(left):
        return False, [f"{off}."]
    if abs(delay) < 1:
        return False, [f"{off}, and ran with the strap to within a second."]
    ran = f"ran {number(abs(delay))} s {'behind' if delay > 0 else 'ahead of'} the strap"
    if error - left < MOST * error or error - left < 1:
        return False, [f"{off} and {ran}; without that its error would be {bpm(left)}."]
    mean_off = abs(course["mean_device_bpm"] - course["mean_reference_bpm"])
    top_off = abs(course["maximum_device_bpm"] - course["maximum_reference_bpm"])
    hidden = mean_off < min(MOST * error, HIDDEN_BPM) and top_off <= HIDDEN_BPM
    hides = "; average and peak hide that" if hidden else ""
    return True, [f"{off}, mostly because it {ran}{hides}."]


def whole(value: float) -> str:
    return number(value, decimals=0)


def _signed(value: float, plus: bool) -> str:
    return reading(value) if not plus or value < 0 else f"+{reading(value)}"


def _change(value: float, strap: float, said: Callable[[float, bool], str], unit: str = "") -> str:
    change = value - strap
    if not round(change, 1):
        return "no difference"
    percent = 100 * change / strap
    return f"{said(change, True)}{unit}, {number(percent, True, int(abs(percent) < 1))} %"
