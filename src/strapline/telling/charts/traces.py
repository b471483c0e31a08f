"""One session over time: the heart rates, and beneath them what each device got wrong."""

from collections.abc import Sequence

import pandas as pd

from strapline.ground.records.intake import RecordingIntake, SessionIntake
from strapline.ground.settings import Presentation, Tolerance
from strapline.ground.vocabulary import Status
from strapline.ground.words import listed, number, plain
from strapline.telling.charts import seconds, sheet, theme
from strapline.telling.charts.panels import BETWEEN, Panels
from strapline.telling.charts.render import Chart
from strapline.telling.charts.sheet import Sheet

NOTHING = "No second of this session could be compared with a reference."


def traces(
    aligned: pd.DataFrame,
    intake: SessionIntake,
    tolerance: Tolerance,
    presentation: Presentation,
    bench: Sequence[str] = (),
    episodes: pd.DataFrame | None = None,
    frame: theme.Frame = theme.WIDE,
) -> Chart:
    """Heart rates over the session and, a strip a device, device minus reference.

    `aligned` keeps the ALIGNED contract and holds one view of the clocks; `episodes` keeps
    EPISODES, and what it has stands in a lane above each strip. Devices named in
    `bench` keep their colour and dash from one session to another.
    """
    shown = drawn(aligned, intake)
    names = [recording.label for recording in shown]
    title = sheet.headed(intake.activity, "Heart rate at the wrist and on the chest")
    if not shown:
        return Sheet(frame, presentation, title).saying(NOTHING)
    table = seconds.by_second(aligned, [r.recording for r in shown], tolerance)
    styles = theme.styles([r.device for r in shown], presentation, bench)
    doubted = seconds.doubted(aligned)
    looks = [styles[r.device] for r in shown]
    found = [] if episodes is None else [_own(episodes, r.recording) for r in shown]
    subtitle = _subtitle(aligned, intake, tolerance, len(table), bool(doubted))
    on = Sheet(frame, presentation, title, subtitle)
    panels = Panels(table, intake, names, looks, on, doubted, found)
    return on.finished(
        [panels.rates(), *map(panels.strip, range(len(shown)))],
        alt(aligned, intake),
        BETWEEN,
        datasets={"seconds": panels.rows()},
    )


def alt(aligned: pd.DataFrame, intake: SessionIntake) -> str:
    """One sentence with the range of the reference and of each device's difference."""
    shown = compared(aligned, intake)
    if not shown or intake.reference is None:
        return NOTHING
    usable = aligned["status"].isin([Status.COMPARED, Status.NO_DEVICE])
    rates = aligned.loc[usable, "reference_bpm"]
    ranges = [_range(aligned, recording) for recording in shown]
    return (
        f"Over {sheet.length(aligned)} {plain(intake.reference.label)} ran from "
        f"{rates.min():.0f} to {rates.max():.0f} bpm; {listed(ranges)}."
    )


def drawn(aligned: pd.DataFrame, intake: SessionIntake) -> list[RecordingIntake]:
    """Those compared; in a session whose reference failed, those that could have been."""
    failed = aligned[
        (aligned["status"] == Status.REFERENCE_SET_ASIDE) & (aligned["stands_for_s"] > 0)
    ]
    names = set(failed["recording"].unique())
    return compared(aligned, intake) or [r for r in intake.tested if r.recording in names]


def compared(aligned: pd.DataFrame, intake: SessionIntake) -> list[RecordingIntake]:
    """The tested recordings with at least one compared second, in the order of the card."""
    names = set(aligned.loc[aligned["status"] == Status.COMPARED, "recording"].unique())
    return [recording for recording in intake.tested if recording.recording in names]


def _own(episodes: pd.DataFrame, recording: str) -> pd.DataFrame:
    return episodes[episodes["recording"] == recording]


def _range(aligned: pd.DataFrame, recording: RecordingIntake) -> str:
    own = (aligned["recording"] == recording.recording) & (aligned["status"] == Status.COMPARED)
    difference = aligned.loc[own, "device_bpm"] - aligned.loc[own, "reference_bpm"]
    low, high = number(difference.min(), plus=True), number(difference.max(), plus=True)
    return f"{plain(recording.label)} differed by {low} to {high} bpm"


def _subtitle(
    aligned: pd.DataFrame,
    intake: SessionIntake,
    tolerance: Tolerance,
    length: int,
    doubted: bool,
) -> str:
    date = f"{aligned['time'].min():%d %B %Y}".lstrip("0")
    left_out = "; grey: left out" if any(span.start < length for span in intake.exclude) else ""
    if doubted:
        left_out += "; hatched: strap in doubt"
    return (
        f"{date}, {sheet.length(aligned)}, {sheet.CLOCKS[aligned['alignment'].iloc[0]]}. "
        f"Band: {tolerance.beats:g} bpm or {tolerance.percent:g} %{left_out}."
    )
