"""Sentences that several pages say."""

import pandas as pd

from strapline.ground.records.intake import RecordingIntake, SessionIntake
from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.vocabulary import UNSTATED, MaximumSource, Placement
from strapline.ground.words import (
    counted,
    in_words,
    number,
    plain,
)

MAXIMUM_SOURCES = {
    MaximumSource.STATED: "the wearer’s maximum heart rate as stated",
    MaximumSource.TANAKA_2001: "the maximum expected at the wearer’s age (Tanaka 2001; single "
    "people differ by about 10 bpm)",
    MaximumSource.NES_2013: "the maximum expected at the wearer’s age (Nes 2013; single "
    "people differ by about 11 bpm)",
    MaximumSource.OBSERVED: "the highest reading of this session; the wearer’s true maximum may "
    "well be higher, and the effort then was lighter than it looks",
}
CAUTION = (
    "Readings of consumer sensors and chest straps are not medical measurements; do not judge "
    "health by them. Hard exercise can hurt: follow local rules and a qualified professional’s "
    "advice, and stop when unwell."
)


def circumstances(intake: SessionIntake, wearer: str) -> str:
    """'Run, worn by A, against Chest strap.', as far as it is stated; `wearer`: what the wearer
    is called, '' where that is not said."""
    activity = "Activity not stated" if intake.activity == UNSTATED else in_words(intake.activity)
    worn = {UNSTATED: ["wearer not stated"], "": []}.get(wearer, [f"worn by {wearer}"])
    reference = [f"against {intake.reference.label}"] if intake.reference else []
    return f"{', '.join(plain(part) for part in [activity, *worn, *reference])}."


def offset_sentences(curve: pd.DataFrame | None) -> list[str]:
    """Whether error and bias (OFFSETS of one device) depend on the offset of the clock."""
    if curve is None or curve.empty:
        return []
    best = curve.iloc[curve["mae"].argmin()]
    low, high = float(curve["bias"].min()), float(curve["bias"].max())
    keeps_sign = low > 0 or high < 0
    return [
        f"Moving its clock by up to 60 s would bring its error down to {number(best['mae'])} bpm "
        f"at best (by {number(best['offset_s'], plus=True, decimals=0)} s).",
        f"Its bias {'keeps its sign' if keeps_sign else 'does not keep its sign'}, "
        f"from {number(low, plus=True)} to {number(high, plus=True)} bpm.",
    ]


def placed(recording: RecordingIntake) -> str:
    """'Watch one (left wrist)'."""
    name = plain(recording.label)
    if recording.placement == Placement.OTHER:
        return name
    return f"{name} ({in_words(recording.placement).lower()})"


def not_compared_sentence(recording: RecordingIntake) -> str:
    return f"{placed(recording)} could not be compared with the strap in this session."


def effort_sentence(maximum: MaximumHeartRate | None) -> str:
    """What bands of effort go by."""
    if maximum is None:
        return ""
    return f"By the strap’s reading in percent of {MAXIMUM_SOURCES[maximum.source]}."


def clocks_sentence(aligned: int, left: int) -> str:
    """How many clocks something settles; empty where there was none to judge."""
    if not aligned + left:
        return ""
    if not aligned:
        return "No device’s clock could be settled: nothing but heart rate tells it."
    others = "; nothing but heart rate tells the others" if left else ""
    return f"{aligned} of {counted(aligned + left, 'clock')} could be settled{others}."
