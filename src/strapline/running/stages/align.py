"""Align: a session's recordings -> clock decisions and one grid in each view of the clocks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from strapline.ground.files import write_model
from strapline.ground.records.alignment import Alone, ClockDecision, SessionAlignment
from strapline.ground.records.intake import RecordingIntake, SessionIntake, read_intake
from strapline.ground.records.register import REFERENCE_KINDS
from strapline.ground.tables.recordings import CHANNELS, by_recording
from strapline.ground.tables.sessions import ALIGNED, OFFSETS
from strapline.ground.tables.table import about
from strapline.ground.vocabulary import Clocks, Decision, Status
from strapline.method.signal.clocks.decide import copied, settle_all
from strapline.method.signal.clocks.pair import Pair, channels_of
from strapline.method.signal.comparison import compare, errors_by_offset
from strapline.method.signal.copies import is_copy, witnesses
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
    rates, others = by_recording(recordings), by_recording(channels, CHANNELS)
    accounts = about(recordings)["recordings"]
    entry = session.reference if session.set_aside is None else None
    if entry is not None and Trace.of(rates[entry.recording]).time_s.size:
        held = Held(session, entry, rates, others, accounts, grid.longest_gap_s)
        told, found = _aligned(held, alignment, reference)
    else:
        name = entry.recording if entry else None
        told = SessionAlignment(session=session.session, reference=name, clocks=())
        found = []
    write_model(clocks, told)
    ALIGNED.write(ALIGNED.joined([view for one in found for view in one.views]), aligned)
    OFFSETS.write(OFFSETS.joined([one.curve for one in found]), offsets)


class Held(NamedTuple):
    """A session with a reference, which is `entry`; and what its files hold, by recording: frames
    under NORMALISED, frames under CHANNELS, and what is said of each."""

    session: SessionIntake
    entry: RecordingIntake
    rates: Mapping[str, pd.DataFrame]
    channels: Mapping[str, pd.DataFrame]
    accounts: Mapping[str, Mapping[str, Any]]
    longest_gap_s: float


class OfDevice(NamedTuple):
    """What is found of a device: its clock, its rows in each view of that, under ALIGNED, and its
    errors by offset, under OFFSETS."""

    decision: ClockDecision
    views: list[pd.DataFrame]
    curve: pd.DataFrame


def _aligned(
    held: Held, alignment: Alignment, limits: Reference
) -> tuple[SessionAlignment, list[OfDevice]]:
    session, entry, longest_gap_s = held.session, held.entry, held.longest_gap_s
    trial = try_reference(held.rates[entry.recording], session.exclude, longest_gap_s, limits)
    decided = _decided(held, trial, alignment)
    apart = supported(trial, _apart(held, trial, decided))
    trial = doubting(trial, apart, session.exclude, limits)
    found = [_of_device(session, trial, pair, decision) for pair, decision in decided]
    decisions = [one.decision for one in found]
    # What was said of where the reference's rate is from follows.
    said = (trial.verdict.sentence, held.accounts[entry.recording].get("said"))
    told = SessionAlignment(
        session=session.session,
        reference=entry.recording,
        verdict=trial.verdict.model_copy(update={"sentence": " ".join(filter(None, said))}),
        alone=apart,
        second_references=tuple(
            beside(trial, other, decision, tested, longest_gap_s)
            for tested, decision in zip(session.tested, decisions, strict=True)
            if tested.device_kind in REFERENCE_KINDS
            for other in [try_reference(held.rates[tested.recording], (), longest_gap_s, limits)]
        ),
        clocks=tuple(told_apart(entry, session.tested, decisions)),
    )
    return told, found


def _decided(held: Held, trial: Trial, alignment: Alignment) -> list[tuple[Pair, ClockDecision]]:
    """What is done with the clock of each device under test."""
    entry = held.entry
    marks = {name: account["marked_at_s"] for name, account in held.accounts.items()}
    averaged = Trace.of_rates(held.channels[entry.recording])
    pairs = [
        Pair(
            reference=trial.believed,
            device=Trace.of(held.rates[tested.recording]),
            reference_entry=entry,
            entry=tested,
            reference_channels=channels_of(held.channels[entry.recording]),
            channels=channels_of(held.channels[tested.recording]),
            alignment=alignment,
            longest_gap_s=held.longest_gap_s,
            marked_s=_marked(marks, entry.recording, tested.recording),
        )
        for tested in held.session.tested
    ]
    return [
        (pair, _unless_copied(pair, decision, [trial.trace, averaged]))
        for pair, decision in settle_all(pairs)
    ]


def _of_device(
    session: SessionIntake, trial: Trial, pair: Pair, decision: ClockDecision
) -> OfDevice:
    settled = _compared(session, trial, pair, decision, Clocks.SETTLED)
    decision = with_delay(decision, settled)
    views = [settled]
    if abs(decision.delay_s or 0) >= SMALLEST_DELAY_S:
        views.append(_compared(session, trial, pair, decision, Clocks.DELAY_OUT))
    return OfDevice(decision, views, _curve(trial.trace, pair, decision, settled))


def _curve(
    reference: Trace, pair: Pair, decision: ClockDecision, settled: pd.DataFrame
) -> pd.DataFrame:
    """The device's errors by offset, over the seconds in which it could be compared."""
    comparable = settled[settled["status"].isin([Status.COMPARED, Status.NO_DEVICE])]
    seconds = epoch_seconds(comparable["time"])
    set_right = pair.device.shifted(decision.gross_shift_s)
    errors = errors_by_offset(reference, set_right, seconds, pair.longest_gap_s)
    names = {"recording": pair.entry.recording, "device": pair.entry.device}
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
    not its file has RR intervals. Two straps on one body may well read the same; and a picture is
    too coarse to tell."""
    entry, device = pair.entry, pair.device
    if entry.own_sensor or entry.resolution or entry.device_kind in REFERENCE_KINDS:
        return decision
    # A copy is one by whatever clock.
    offsets_s = [decision.offsets(device.time_s), np.array(decision.estimate_s or 0.0)]
    moved = [device.shifted(offset_s) for offset_s in offsets_s if offset_s.any()]
    gap_s = pair.longest_gap_s
    copies = any(is_copy(r, d, gap_s) for r in references for d in [device, *moved])
    return copied(pair) if copies else decision


def _apart(
    held: Held, trial: Trial, decided: Sequence[tuple[Pair, ClockDecision]]
) -> tuple[Alone, ...]:
    """Where the reference jumped away from devices that agree, but for what the card leaves out."""
    recordings = (
        (pair.entry.device, pair.device.shifted(clock.offsets(pair.device.time_s)))
        for pair, clock in decided
        if clock.decision not in NO_EVIDENCE and pair.device.spacing.by_line
    )
    gap_s = held.longest_gap_s
    rates = [each.at(trial.seconds, gap_s) for each in witnesses(recordings, gap_s)]
    reference = trial.trace.at(trial.seconds, gap_s)
    reference[inside_any(trial.seconds, held.session.exclude)] = np.nan
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
