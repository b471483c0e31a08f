"""Measure: the aligned grid -> every figure of the session, what apps state beside what was
measured, and the ledger that accounts for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.files import read_model, write_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import SessionIntake, read_intake
from strapline.ground.records.ledger import ComparisonLedger, RecordingLedger, SessionLedger, Tally
from strapline.ground.tables.recordings import by_recording
from strapline.ground.tables.sessions import ALIGNED, DIFFERENCES, METRICS, STATED
from strapline.ground.tables.table import about
from strapline.ground.vocabulary import Status
from strapline.method.agreement.effort import session_maximum
from strapline.method.agreement.possible import possible
from strapline.method.metrics.differences import differences
from strapline.method.metrics.sensitivity import sensitivity
from strapline.method.metrics.session_metrics import session_metrics
from strapline.method.metrics.shared_seconds import shared_seconds
from strapline.method.stated.session_stated import believed_strap, session_stated

if TYPE_CHECKING:
    from strapline.ground import settings
    from strapline.ground.records.ledger import MaximumHeartRate
    from strapline.ground.records.picture import Resolution


def run(
    *,
    intake: str,
    recordings: str,
    clocks: str,
    aligned: str,
    metrics: str,
    ledger: str,
    stated: str,
    differences_table: str,
    tolerance: settings.Tolerance,
    intervals: settings.Intervals,
    effort: settings.Effort,
    grid: settings.Grid,
    reference: settings.Reference,
    plausibility: settings.Plausibility,
) -> None:
    session, seconds = read_intake(intake), ALIGNED.read(aligned)
    maximum = session_maximum(seconds, session.body, effort)
    decided = {clock.recording: clock for clock in read_model(clocks, SessionAlignment).clocks}
    parts = [
        session_metrics(seconds, session, maximum, tolerance, intervals, effort, decided),
        sensitivity(seconds, session, tolerance),
        shared_seconds(seconds, session, tolerance),
    ]
    METRICS.write(possible(METRICS.joined(parts), plausibility), metrics)
    DIFFERENCES.write(differences(seconds, session, tolerance), differences_table)
    write_model(ledger, _ledger(session, recordings, seconds, maximum))
    rates = by_recording(recordings) if session.stated else {}
    strap = believed_strap(session, rates, grid.longest_gap_s, reference)
    STATED.write(session_stated(session, rates, strap), stated)


def _columns(picture: Resolution | None) -> Tally | None:
    if picture is None:
        return None
    left_out = {
        "no_curve": picture.empty,
        "two_candidates": picture.doubtful,
        "something_else_drawn": picture.unexplained,
    }
    return Tally(
        total=picture.columns,
        used=picture.read,
        left_out={why: count for why, count in left_out.items() if count},
    )


def _ledger(
    session: SessionIntake, recordings: str, grid: pd.DataFrame, maximum: MaximumHeartRate | None
) -> SessionLedger:
    accounts = about(recordings)["recordings"]
    return SessionLedger(
        session=session.session,
        maximum_heart_rate=maximum,
        recordings=tuple(
            RecordingLedger(
                recording=entry.recording,
                samples=Tally.model_validate(accounts[entry.recording]["samples"]),
                beats=Tally.model_validate(accounts[entry.recording]["beats"]),
                usual_s=accounts[entry.recording]["usual_s"],
                largest_usual_s=accounts[entry.recording]["largest_usual_s"],
                columns=_columns(entry.resolution),
            )
            for entry in session.recordings
        ),
        comparisons=tuple(
            ComparisonLedger(
                recording=str(recording),
                alignment=str(alignment),
                seconds=Tally.of(len(rows), rows["status"], Status.COMPARED),
            )
            for (recording, alignment), rows in grid.groupby(
                ["recording", "alignment"], observed=True, sort=False
            )
        ),
    )
