"""Measure: the aligned grid -> every figure of the session, and the ledger that accounts for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.files import write_model
from strapline.ground.records.intake import SessionIntake, read_intake
from strapline.ground.records.ledger import ComparisonLedger, RecordingLedger, SessionLedger, Tally
from strapline.ground.tables.sessions import ALIGNED, METRICS
from strapline.ground.tables.table import about
from strapline.ground.vocabulary import Status
from strapline.method.agreement.scopes import session_maximum
from strapline.method.metrics.sensitivity import sensitivity
from strapline.method.metrics.session_metrics import session_metrics
from strapline.method.metrics.shared_seconds import shared_seconds

if TYPE_CHECKING:
    from strapline.ground.records.ledger import MaximumHeartRate
    from strapline.ground.settings import Effort, Intervals, Tolerance


def run(
    *,
    intake: str,
    recordings: str,
    aligned: str,
    metrics: str,
    ledger: str,
    tolerance: Tolerance,
    intervals: Intervals,
    effort: Effort,
) -> None:
    session, grid = read_intake(intake), ALIGNED.read(aligned)
    maximum = session_maximum(grid, session.body, effort)
    parts = [
        session_metrics(grid, session, maximum, tolerance, intervals, effort),
        sensitivity(grid, session, tolerance),
        shared_seconds(grid, session),
    ]
    METRICS.write(METRICS.joined(parts), metrics)
    write_model(ledger, _ledger(session, recordings, grid, maximum))


def _ledger(
    session: SessionIntake,
    recordings: str,
    grid: pd.DataFrame,
    maximum: MaximumHeartRate | None,
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
