"""Align: a session's recordings -> clock decisions and one grid in both views of the clocks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from strapline.files import write_model
from strapline.session.alignment import ClockDecision, SessionAlignment
from strapline.session.devices import REFERENCE_KINDS
from strapline.session.intake import RecordingIntake, SessionIntake, read_intake
from strapline.signal.clock_decision import copied, decide
from strapline.signal.comparison import compare
from strapline.signal.copies import is_copy
from strapline.signal.normalised import stated_rates
from strapline.signal.trace import Trace
from strapline.tables import ALIGNED, NORMALISED, SAMPLES

if TYPE_CHECKING:
    from strapline.settings import Alignment, Grid, Plausibility


def run(
    *,
    intake: str,
    samples: list[str],
    normalised: list[str],
    clocks: str,
    aligned: str,
    alignment: Alignment,
    grid: Grid,
    plausibility: Plausibility,
) -> None:
    session = read_intake(intake)
    reference = session.reference if session.set_aside is None else None
    decisions: list[ClockDecision] = []
    frames: list[pd.DataFrame] = []
    traces = {_name(path): Trace.of(NORMALISED.read(path)) for path in normalised}
    if reference is not None and traces[reference.recording].time_s.size:
        path = next(p for p in samples if _name(p) == f"{reference.recording}.parsed")
        averaged = Trace.of(stated_rates(SAMPLES.read(path), reference, plausibility))
        for entry in session.tested:
            pair = traces[reference.recording], traces[entry.recording]
            decision = (
                copied(entry)
                if _is_copy([pair[0], averaged], pair[1], entry, grid.longest_gap_s)
                else decide(*pair, reference, entry, alignment, grid.longest_gap_s)
            )
            decisions.append(decision)
            frames += _views(session, *pair, entry, decision, grid.longest_gap_s)
    write_model(
        clocks,
        SessionAlignment(
            session=session.session,
            reference=reference.recording if reference else None,
            clocks=tuple(decisions),
        ),
    )
    ALIGNED.write(pd.concat(frames, ignore_index=True) if frames else ALIGNED.empty(), aligned)


def _name(path: str) -> str:
    return Path(path).name.removesuffix(".parquet")


def _is_copy(
    references: list[Trace], device: Trace, entry: RecordingIntake, longest_gap_s: float
) -> bool:
    """A strap's broadcast is its averaged rate, whether or not its file has RR intervals. Two
    straps on one body may well read the same."""
    if entry.own_sensor or entry.device_kind in REFERENCE_KINDS:
        return False
    return any(is_copy(reference, device, longest_gap_s) for reference in references)


def _views(
    session: SessionIntake,
    reference: Trace,
    device: Trace,
    entry: RecordingIntake,
    decision: ClockDecision,
    longest_gap_s: float,
) -> list[pd.DataFrame]:
    offsets = {"as_recorded": 0.0, "aligned": decision.offset_s}
    return [
        compare(
            reference,
            device.shifted(offset),
            {"recording": entry.recording, "device": entry.device, "alignment": view},
            session.exclude,
            longest_gap_s,
            is_copy=decision.decision == "copy",
        )
        for view, offset in offsets.items()
    ]
