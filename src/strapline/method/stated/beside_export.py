"""What an app states beside the same device's export: do the two say the same?"""

from __future__ import annotations

from collections.abc import Iterator

from strapline.ground.records.stated import Stated
from strapline.ground.vocabulary import HeldAgainst, StatedFigure
from strapline.ground.words import bpm, clock, lasting, number, reading
from strapline.method.signal.trace import Trace
from strapline.method.stated.held import Held, agrees, apart, rounding_of
from strapline.method.stated.stretch import Stretch, lasts_s

# A recording may begin and end with the second before, or after, its first and last value.
LENGTHS_AGREE_S = 2.0


def beside_export(label: str, stated: Stated, export: Trace) -> list[Held]:
    """Each stated figure beside the export's, in the order in which apps show them."""
    if not export.time_s.size:
        return []
    whole, same, when = _same_time(stated, export)
    held = []
    if stated.average_bpm is not None:
        held.append(_average(label, stated.average_bpm, export, whole, same, when))
    for figure, value in (
        (StatedFigure.MAXIMUM, stated.maximum_bpm),
        (StatedFigure.MINIMUM, stated.minimum_bpm),
    ):
        if value is not None:
            held.append(_extreme(label, figure, value, whole, same))
    if stated.duration is not None:
        held.append(_duration(label, stated.duration, export, whole))
    return held


def _same_time(stated: Stated, export: Trace) -> tuple[Stretch, Stretch, str]:
    """All of the export, the part of it that the app's figures are of, and the words for that: from
    its beginning as long as the app says, but all of it where that is its time without gaps."""
    whole = Stretch.of(export)
    if stated.duration is None:
        return whole, whole, "as a whole"
    if abs(whole.recorded_s - stated.duration) <= LENGTHS_AGREE_S:
        return whole, whole, "over the same time"
    return (
        whole,
        Stretch.of(export, until_s=export.begins_s + stated.duration),
        ("over the same time" if stated.duration < lasts_s(export) else "as far as it goes"),
    )


def _average(
    label: str, value: float, export: Trace, whole: Stretch, same: Stretch, when: str
) -> Held:
    measured, rounding = same.average_bpm, rounding_of(value)
    if agrees(value, measured, rounding):
        sentence = (
            f"{label}’s app says {reading(value)} bpm on average; its export averages "
            f"{number(measured)} {when}."
        )
    else:
        why = next(_reasons(value, rounding, export, whole), "Nothing in the export explains that.")
        sentence = (
            f"{label}’s app says {reading(value)} bpm on average, {apart(value, measured)} than "
            f"its export {when} ({number(measured)}). {why}"
        )
    return Held(
        StatedFigure.AVERAGE,
        HeldAgainst.EXPORT,
        value,
        measured,
        rounding,
        same.recorded_s,
        sentence,
    )


def _reasons(value: float, rounding: float, export: Trace, whole: Stretch) -> Iterator[str]:
    """What of the export would give the app's average."""
    if agrees(value, whole.average_bpm, rounding):
        yield (
            f"The whole export, {clock(lasts_s(export))}, averages {bpm(whole.average_bpm)}: the "
            "app’s average may end later than the time it states."
        )
    filled = Stretch.without_gaps(export).average_bpm
    if agrees(value, filled, rounding):
        yield (
            f"With straight lines through its gaps it averages {bpm(filled)}: the app may count "
            "pauses that the export leaves out."
        )
    alike = float(whole.rate.mean())
    if agrees(value, alike, rounding):
        yield (
            f"With each value counted once, whatever its time, it averages {bpm(alike)}: the app "
            "may do that."
        )


def _extreme(label: str, figure: StatedFigure, value: float, whole: Stretch, same: Stretch) -> Held:
    is_maximum = figure == StatedFigure.MAXIMUM
    word = "highest" if is_maximum else "lowest"
    measured, of_whole = (
        part.maximum_bpm if is_maximum else part.minimum_bpm for part in (same, whole)
    )
    rounding = rounding_of(value)
    if agrees(value, measured, rounding):
        sentence = (
            f"{label}’s app says {reading(value)} at the {word}; the {word} value of its export is "
            f"{reading(measured)}."
        )
    else:
        sentence = (
            f"{label}’s app says {reading(value)} at the {word}, {apart(value, measured)} than the "
            f"{word} value of its export ({reading(measured)})."
        )
        if agrees(value, of_whole, rounding):
            sentence += f" After the time that the app states, the export has {reading(of_whole)}."
    return Held(figure, HeldAgainst.EXPORT, value, measured, rounding, same.recorded_s, sentence)


def _duration(label: str, value: float, export: Trace, whole: Stretch) -> Held:
    lasts, recorded = lasts_s(export), whole.recorded_s
    gaps = lasts - recorded
    says = f"{label}’s app says {clock(value)}"
    if abs(value - lasts) <= LENGTHS_AGREE_S:
        sentence = f"{says}; its export lasts {clock(lasts)}."
    elif abs(value - recorded) <= LENGTHS_AGREE_S:
        sentence = (
            f"{says}; its export lasts {clock(lasts)}, {lasting(gaps)} of that in gaps: the app "
            "leaves pauses out."
        )
    elif value < lasts:
        sentence = f"{says}; its export goes on for {lasting(lasts - value)} after that."
    else:
        sentence = f"{says}; its export ends {lasting(value - lasts)} before that."
    return Held(
        StatedFigure.DURATION,
        HeldAgainst.EXPORT,
        value,
        lasts,
        LENGTHS_AGREE_S,
        recorded,
        sentence,
    )
