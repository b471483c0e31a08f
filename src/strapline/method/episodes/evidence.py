"""Why an episode is of its kind, in one sentence with the numbers in it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from strapline.ground.vocabulary import Fault
from strapline.ground.words import clock, lasting, number, share
from strapline.method.episodes.cadence import Likeness
from strapline.method.episodes.delay import Delayed
from strapline.method.episodes.spans import Span
from strapline.method.episodes.view import View

Detail = Likeness | Delayed | None

MULTIPLE_WORDS = {1.0: "the cadence", 2.0: "twice the cadence", 0.5: "half the cadence"}


def evidence(kind: Fault, span: Span, view: View, detail: Detail) -> str:
    """The sentence for `span` (start, end) of `view`; `detail` is what its detector found."""
    if isinstance(detail, Likeness):
        return _cadence(detail)
    if isinstance(detail, Delayed):
        return _delay(detail)
    return _SENTENCES[kind](span, view)


def _cadence(likeness: Likeness) -> str:
    chance = f"; a cadence that was not there would be as near {share(likeness.chance)} of it"
    return (
        f"The device was within {likeness.within_bpm:g} bpm of "
        f"{MULTIPLE_WORDS[likeness.multiple]} for {share(likeness.share)} of the time{chance}."
    )


def _delay(delay: Delayed) -> str:
    return (
        f"The device was where the reference had been {lasting(delay.delay_s)} before: "
        f"that leaves {delay.left_bpm:.1f} of {delay.error_bpm:.1f} bpm."
    )


def _no_value(span: Span, view: View) -> str:
    start, end = span
    when = f"from {clock(start)} to {clock(end)}"
    return f"The device had no value for {lasting(end - start)}, {when}."


def _stuck(span: Span, view: View) -> str:
    start, end = span
    reference = view.reference_bpm[start:end]
    rates = view.device_bpm[start], np.nanmin(reference), np.nanmax(reference)
    stayed, low, high = (number(rate, decimals=0) for rate in rates)
    return (
        f"The device stayed at {stayed} bpm for {lasting(end - start)} "
        f"while the reference went from {low} to {high} bpm."
    )


def _level(span: Span, view: View) -> str:
    start, end = span
    error = view.error_bpm[start:end]
    mean, peak = np.nanmean(error), error[np.nanargmax(np.abs(error))]
    side = "above" if mean > 0 else "below"
    return (
        f"The device averaged {abs(mean):.0f} bpm {side} the reference for "
        f"{lasting(end - start)}, and was {abs(peak):.0f} bpm off at most."
    )


def _spike(span: Span, view: View) -> str:
    start, end = span
    error = view.error_bpm[start:end]
    peak = error[np.nanargmax(np.abs(error))]
    side = "above" if peak > 0 else "below"
    return f"The device jumped to {abs(peak):.0f} bpm {side} the reference for {end - start} s."


_SENTENCES: dict[Fault, Callable[[Span, View], str]] = {
    Fault.NO_VALUE: _no_value,
    Fault.STUCK: _stuck,
    Fault.SPIKE: _spike,
    Fault.READS_LOW: _level,
    Fault.READS_HIGH: _level,
}
