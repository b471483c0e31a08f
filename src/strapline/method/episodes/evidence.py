"""Why an episode is of its kind, in one sentence with the numbers in it.

Each is given the span (start, end) of the view, and what the detector found in it.
"""

import numpy as np

from strapline.ground.words import clock, lasting, number, share
from strapline.method.episodes.cadence import Likeness
from strapline.method.episodes.delay import Delayed, measured_delay
from strapline.method.episodes.view import View
from strapline.method.signal.spans import Span

LEAST_SHARE_EXPLAINED = 0.1
MULTIPLE_WORDS = {1.0: "the cadence", 2.0: "twice the cadence", 0.5: "half the cadence"}


def cadence_shown(_: Span, view: View, likeness: Likeness) -> str:
    chance = f"; a cadence that was not there would be as near {share(likeness.chance)} of it"
    return (
        f"The device was within {likeness.within_bpm:g} bpm of "
        f"{MULTIPLE_WORDS[likeness.multiple]} for {share(likeness.share)} of the time{chance}."
    )


def late(_: Span, view: View, delay: Delayed) -> str:
    return (
        f"The device was where the strap had been {lasting(delay.delay_s)} before: "
        f"that leaves {delay.left_bpm:.1f} of {delay.error_bpm:.1f} bpm."
    )


def value_missing(span: Span, view: View, _: None) -> str:
    start, end = span
    when = f"from {clock(start)} to {clock(end)}"
    return f"The device had no value for {lasting(end - start)}, {when}."


def one_value(_: Span, view: View, stayed_over: Span) -> str:
    """All of the time that it stayed, of which the span is what was off."""
    start, end = stayed_over
    reference = view.reference_bpm[start:end]
    rates = view.device_bpm[start], np.nanmin(reference), np.nanmax(reference)
    stayed, low, high = (number(rate, decimals=0) for rate in rates)
    return (
        f"The device stayed at {stayed} bpm for {lasting(end - start)} "
        f"while the strap went from {low} to {high} bpm."
    )


def off_level(span: Span, view: View, _: float) -> str:
    start, end = span
    error = view.error_bpm[start:end]
    mean, peak = np.nanmean(error), error[np.nanargmax(np.abs(error))]
    side = "above" if mean > 0 else "below"
    return (
        f"The device averaged {abs(mean):.0f} bpm {side} the strap for "
        f"{lasting(end - start)}, and was {abs(peak):.0f} bpm off at most.{_by_delay(span, view)}"
    )


def _by_delay(span: Span, view: View) -> str:
    """How much of it the device's own delay is, where that is a part to speak of."""
    own = measured_delay(view, span)
    explained_bpm = own.error_bpm - own.left_bpm if own else 0
    if not own or explained_bpm < LEAST_SHARE_EXPLAINED * own.error_bpm:
        return ""
    return f" Its delay explains {explained_bpm:.0f} of the {own.error_bpm:.0f} bpm."


def jump(span: Span, view: View, _: None) -> str:
    start, end = span
    error = view.error_bpm[start:end]
    peak = error[np.nanargmax(np.abs(error))]
    side = "above" if peak > 0 else "below"
    return f"The device jumped to {abs(peak):.0f} bpm {side} the strap for {end - start} s."
