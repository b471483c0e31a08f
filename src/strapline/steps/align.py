"""Align: a session's recordings -> clock decisions and one grid in both views of the clocks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from strapline.files import write_model
from strapline.session.alignment import ClockDecision, SessionAlignment
from strapline.session.intake import RecordingIntake, SessionIntake, read_intake
from strapline.signal.clock_decision import decide
from strapline.signal.comparison import Trace, compare
from strapline.tables import ALIGNED, NORMALISED

if TYPE_CHECKING:
    from strapline.settings import Alignment, Grid


def run(
    *,
    intake: str,
    normalised: list[str],
    clocks: str,
    aligned: str,
    alignment: Alignment,
    grid: Grid,
) -> None:
    session = read_intake(intake)
    traces = {
        Path(path).name.removesuffix(".parquet"): Trace.of(NORMALISED.read(path))
        for path in normalised
    }
    reference = session.reference if session.set_aside is None else None
    decisions: list[ClockDecision] = []
    frames: list[pd.DataFrame] = []
    if reference is not None and traces[reference.recording].time_s.size:
        for entry in session.tested:
            pair = traces[reference.recording], traces[entry.recording]
            decision = decide(*pair, reference, entry, alignment, grid.longest_gap_s)
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
        )
        for view, offset in offsets.items()
    ]
