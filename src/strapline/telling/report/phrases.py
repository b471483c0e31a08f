"""Sentences that several pages say."""

import pandas as pd

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.records.intake import RecordingIntake, SessionIntake
from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.settings import Tolerance
from strapline.ground.vocabulary import UNSTATED, Clocks, Decision, MaximumSource, Placement, Scope
from strapline.ground.words import (
    bpm,
    counted,
    in_words,
    number,
    percent,
    plain,
    reading,
    tolerance_words,
)
from strapline.method.metrics.figures import Figures

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


def circumstances(intake: SessionIntake) -> str:
    """'Run, worn by Ada, against Chest strap.', as far as it is stated."""
    activity = "Activity not stated" if intake.activity == UNSTATED else in_words(intake.activity)
    wearer = "wearer not stated" if intake.wearer == UNSTATED else f"worn by {intake.wearer}"
    reference = [f"against {intake.reference.label}"] if intake.reference else []
    return f"{', '.join(plain(part) for part in [activity, wearer, *reference])}."


def offset_sentences(curve: pd.DataFrame | None) -> list[str]:
    """Whether error and bias (OFFSETS of one device) depend on the offset of the clock."""
    if curve is None or curve.empty:
        return []
    best = curve.iloc[curve["mae"].argmin()]
    low, high = float(curve["bias"].min()), float(curve["bias"].max())
    keeps_sign = low > 0 or high < 0
    return [
        f"At no shift within 60 s is its error below {number(best['mae'])} bpm "
        f"(at {number(best['offset_s'], plus=True, decimals=0)} s).",
        f"Its bias {'keeps its sign' if keeps_sign else 'does not keep its sign'}, "
        f"from {number(low, plus=True)} to {number(high, plus=True)} bpm.",
    ]


def placed(recording: RecordingIntake) -> str:
    """'Watch one (left wrist)'."""
    name = plain(recording.label)
    if recording.placement == Placement.OTHER:
        return name
    return f"{name} ({in_words(recording.placement).lower()})"


def session_sentences(
    recording: RecordingIntake, figures: Figures, view: str, tolerance: Tolerance
) -> list[str]:
    """What a device did in one session: its average, its highest reading, its time within."""
    name = placed(recording)
    values = figures.values(recording.recording, Scope.WHOLE, view)
    if not figures.compared(recording.recording, view):
        return [f"{name} could not be compared with the strap in this session."]
    return [
        f"{name} averaged {bpm(values['mean_device'])} where the strap averaged "
        f"{number(values['mean_reference'])}: "
        f"{_change(values['bias'], values['bias_percent'])}.",
        f"Its highest reading was {reading(values['maximum_device'])} bpm where the strap’s was "
        f"{reading(values['maximum_reference'])}: "
        f"{_change(values['maximum_difference'], values['maximum_difference_percent'])}.",
        f"It was off by {bpm(values['mae'])} on average, and within "
        f"{tolerance_words(tolerance)}, for {percent(values['within_either'])} of the time "
        "compared.",
    ]


def effort_sentence(maximum: MaximumHeartRate | None) -> str:
    """What bands of effort go by."""
    if maximum is None:
        return ""
    return (
        f"By the strap’s reading in percent of {reading(maximum.bpm)} bpm, "
        f"{MAXIMUM_SOURCES[maximum.source]}."
    )


def delay_sentence(recording: RecordingIntake, clock: ClockDecision, figures: Figures) -> str:
    """How late the device ran, and what of that is sure; empty where it cannot be told."""
    delay = clock.delay_s
    if delay is None or clock.low_s is None or clock.high_s is None:
        return ""
    name = placed(recording)
    if abs(delay) < 1:
        return f"{name} ran with the strap, to within a second."
    low, high = sorted((clock.offset_s - clock.high_s, clock.offset_s - clock.low_s))
    way = "behind" if delay > 0 else "ahead of"
    ends = sorted((abs(low), abs(high)))
    ran = f"{name} ran {abs(delay):.1f} s {way} the strap ({ends[0]:.1f} to {ends[1]:.1f} s)"
    settled, out = (
        figures.get(recording.recording, Scope.WHOLE, view, "mae").value for view in Clocks
    )
    less = f"without that its error would be {number(out)} instead of {bpm(settled)}"
    if clock.decision == Decision.REFUSED:
        return f"{ran}, by its sensor or by its clock; {less}."
    return f"{ran}, its clock being right; {less}."


def clocks_sentence(aligned: int, left: int) -> str:
    """How many clocks something settles; empty where there was none to judge."""
    if not aligned + left:
        return ""
    others = "; the others are left as recorded" if left else ""
    return f"{aligned} of {counted(aligned + left, 'clock')} could be settled{others}."


def _change(beats: float, share: float) -> str:
    if number(beats) == "0.0":
        # Both values may be written alike, or a tenth apart.
        return "less than 0.1 bpm apart" if beats else "no difference"
    return f"{bpm(beats, plus=True)}, {percent(share, plus=True)}"
