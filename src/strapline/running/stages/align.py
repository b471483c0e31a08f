"""Align: a session's recordings -> clock decisions and one grid in each view of the clocks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.files import write_model
from strapline.ground.records.alignment import (
    Alone,
    ClockDecision,
    ReferenceVerdict,
    SecondReference,
    SessionAlignment,
)
from strapline.ground.records.intake import RecordingIntake, SessionIntake, read_intake
from strapline.ground.records.register import REFERENCE_KINDS
from strapline.ground.tables.recordings import CHANNELS, by_recording
from strapline.ground.tables.sessions import ALIGNED, OFFSETS
from strapline.ground.tables.table import about
from strapline.ground.vocabulary import Clocks, Decision, Status
from strapline.method.signal.clocks.decide import copied, settle_all
from strapline.method.signal.clocks.pair import Pair, channels_of
from strapline.method.signal.comparison import compare, errors_by_offset
from strapline.method.signal.copies import is_copy
from strapline.method.signal.grid import epoch_seconds
from strapline.method.signal.one_device import told_apart
from strapline.method.signal.reference_alone import alone
from strapline.method.signal.reference_pair import beside
from strapline.method.signal.reference_trial import (
    Trial,
    doubting,
    inside_any,
    supported,
    try_reference,
)
from strapline.method.signal.response import with_delay
from strapline.method.signal.trace import Trace

if TYPE_CHECKING:
    from strapline.ground.records.card import Exclusion
    from strapline.ground.settings import Alignment, Grid, Reference

# Less is no delay to take out.
SMALLEST_DELAY_S = 1.0
# Recordings that are none, by what was decided of their clocks.
NO_EVIDENCE = {Decision.COPY: Status.COPY_OF_REFERENCE, Decision.STEPPING: Status.CLOCK_STEPS}


def run(
    *,
    intake: str,
    recordings: str,
    channels: str,
    clocks: str,
    aligned: str,
    offsets: str,
    alignment: Alignment,
    grid: Grid,
    reference: Reference,
) -> None:
    session = read_intake(intake)
    entry = session.reference if session.set_aside is None else None
    decisions: list[ClockDecision] = []
    frames: list[pd.DataFrame] = []
    curves: list[pd.DataFrame] = []
    seconds: list[SecondReference] = []
    verdict: ReferenceVerdict | None = None
    apart: tuple[Alone, ...] = ()
    rates, others = by_recording(recordings), by_recording(channels, CHANNELS)
    accounts = about(recordings)["recordings"]
    marks = {name: account["marked_at_s"] for name, account in accounts.items()}
    if entry is not None and Trace.of(rates[entry.recording]).time_s.size:
        gap_s = grid.longest_gap_s
        trial = try_reference(rates[entry.recording], session.exclude, gap_s, reference)
        averaged = Trace.of_rates(others[entry.recording])
        pairs = [
            Pair(
                reference=trial.believed,
                device=Trace.of(rates[tested.recording]),
                reference_entry=entry,
                entry=tested,
                reference_channels=channels_of(others[entry.recording]),
                channels=channels_of(others[tested.recording]),
                alignment=alignment,
                longest_gap_s=gap_s,
                marked_s=_marked(marks, entry.recording, tested.recording),
            )
            for tested in session.tested
        ]
        decided = [
            (pair, _unless_copied(pair, decision, [trial.trace, averaged]))
            for pair, decision in settle_all(pairs)
        ]
        apart = supported(trial, _apart(trial, decided, session.exclude, gap_s))
        trial = doubting(trial, apart, session.exclude, reference)
        verdict = _with(accounts[entry.recording].get("said"), trial.verdict)
        for pair, decision in decided:
            tested, device = pair.entry, pair.device
            settled = _compared(session, trial, pair, decision, Clocks.SETTLED)
            decision = with_delay(decision, settled)
            decisions.append(decision)
            frames.append(settled)
            if abs(decision.delay_s or 0) >= SMALLEST_DELAY_S:
                frames.append(_compared(session, trial, pair, decision, Clocks.DELAY_OUT))
            set_right = device.shifted(decision.gross_shift_s)
            curves.append(_curve(trial.trace, set_right, tested, settled, gap_s))
            if tested.device_kind in REFERENCE_KINDS:
                other = try_reference(rates[tested.recording], (), gap_s, reference)
                seconds.append(beside(trial, other, decision, tested, gap_s))
    if entry is not None and decisions:
        decisions = told_apart(entry, session.tested, decisions)
    write_model(
        clocks,
        SessionAlignment(
            session=session.session,
            reference=entry.recording if entry else None,
            verdict=verdict,
            alone=apart,
            second_references=tuple(seconds),
            clocks=tuple(decisions),
        ),
    )
    ALIGNED.write(ALIGNED.joined(frames), aligned)
    OFFSETS.write(OFFSETS.joined(curves), offsets)


def _with(said: str | None, verdict: ReferenceVerdict) -> ReferenceVerdict:
    """The verdict with what was said of where the reference's rate is from."""
    sentence = f"{verdict.sentence} {said}" if said else verdict.sentence
    return verdict.model_copy(update={"sentence": sentence})


def _curve(
    reference: Trace,
    device: Trace,
    entry: RecordingIntake,
    settled: pd.DataFrame,
    longest_gap_s: float,
) -> pd.DataFrame:
    """The device's errors by offset, over the seconds in which it could be compared."""
    comparable = settled[settled["status"].isin([Status.COMPARED, Status.NO_DEVICE])]
    seconds = epoch_seconds(comparable["time"])
    errors = errors_by_offset(reference, device, seconds, longest_gap_s)
    names = {"recording": entry.recording, "device": entry.device}
    return OFFSETS.frame(
        {name: np.full(len(errors), value, dtype=object) for name, value in names.items()}
        | {column: errors[column] for column in ("offset_s", "mae", "bias", "n")}
    )


def _marked(marks: Mapping[str, float | None], reference: str, recording: str) -> float | None:
    """The offset by which the moments marked in both recordings meet, if both have one."""
    ours, theirs = marks[reference], marks[recording]
    return None if ours is None or theirs is None else round(ours - theirs, 3)


def _unless_copied(
    pair: Pair, decision: ClockDecision, references: Sequence[Trace]
) -> ClockDecision:
    """What was decided, or that it is a copy. A strap's broadcast is its averaged rate, whether or
    not its file has RR intervals. Two straps on one body may well read the same."""
    entry, device = pair.entry, pair.device
    if entry.own_sensor or entry.device_kind in REFERENCE_KINDS:
        return decision
    # A copy is one by whatever clock.
    offsets_s = [decision.offsets(device.time_s), np.array(decision.estimate_s or 0.0)]
    moved = [device.shifted(offset_s) for offset_s in offsets_s if offset_s.any()]
    gap_s = pair.longest_gap_s
    copies = any(is_copy(r, d, gap_s) for r in references for d in [device, *moved])
    return copied(decision) if copies else decision


def _apart(
    trial: Trial,
    decided: Sequence[tuple[Pair, ClockDecision]],
    exclude: Sequence[Exclusion],
    longest_gap_s: float,
) -> tuple[Alone, ...]:
    """Where the reference jumped away from devices that agree, but for what the card leaves out."""
    rates = [
        pair.device.shifted(clock.offsets(pair.device.time_s)).at(trial.seconds, longest_gap_s)
        for pair, clock in decided
        if clock.decision not in NO_EVIDENCE and pair.device.spacing.by_line
    ]
    reference = trial.trace.at(trial.seconds, longest_gap_s)
    reference[inside_any(trial.seconds, exclude)] = np.nan
    return alone(reference, rates)


def _compared(
    session: SessionIntake, reference: Trial, pair: Pair, decision: ClockDecision, view: Clocks
) -> pd.DataFrame:
    """The device's rows in one view of the clocks."""
    clock, entry = decision.in_view(view), pair.entry
    no_evidence = Status.REFERENCE_SET_ASIDE if reference.verdict.set_aside else None
    return compare(
        reference,
        pair.device.shifted(clock.offsets(pair.device.time_s)),
        {"recording": entry.recording, "device": entry.device, "alignment": view},
        session.exclude,
        pair.longest_gap_s,
        clock,
        NO_EVIDENCE.get(decision.decision, no_evidence),
    )
