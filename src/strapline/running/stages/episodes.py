"""Episodes: the aligned grid -> where each device was not right, and what there is to say."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.files import read_model
from strapline.ground.records.alignment import ClockDecision, SessionAlignment
from strapline.ground.records.intake import SessionIntake, read_intake
from strapline.ground.tables.recordings import CHANNELS, by_recording
from strapline.ground.tables.sessions import ALIGNED, COURSES, EPISODES, SENTENCES
from strapline.ground.vocabulary import Clocks
from strapline.method.episodes.cadence import cadence_at
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from strapline.method.signal.grid import epoch_seconds

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes, Grid, Tolerance


def run(
    *,
    intake: str,
    channels: str,
    clocks: str,
    aligned: str,
    found: str,
    courses: str,
    sentences: str,
    episodes: Episodes,
    grid: Grid,
    tolerance: Tolerance,
) -> None:
    session, rows = read_intake(intake), ALIGNED.read(aligned)
    decided = read_model(clocks, SessionAlignment)
    settled = {clock.recording: clock for clock in decided.clocks}
    frames = by_recording(channels, CHANNELS)
    own = rows[rows["alignment"] == Clocks.SETTLED]
    cadences = _cadences(own, session, frames, settled, grid.longest_gap_s)
    table, went = session_episodes(rows, cadences, session, episodes, tolerance, settled)
    EPISODES.write(table, found)
    COURSES.write(went, courses)
    SENTENCES.write(session_sentences(table, went, session, settled), sentences)


def _cadences(
    rows: pd.DataFrame,
    session: SessionIntake,
    frames: dict[str, pd.DataFrame],
    settled: dict[str, ClockDecision],
    longest_gap_s: float,
) -> dict[str, np.ndarray]:
    """By tested recording: its own cadence, or else the reference's."""
    cadences = {}
    for recording, own in rows.groupby("recording", observed=True, sort=False):
        name, seconds = str(recording), epoch_seconds(own["time"])
        sources: list[tuple[str, ClockDecision | None]] = [(name, settled.get(name))]
        if session.reference is not None:
            sources.append((session.reference.recording, None))
        known = [cadence_at(seconds, frames[n], clock, longest_gap_s) for n, clock in sources]
        first = next((cadence for cadence in known if cadence is not None), None)
        if first is not None:
            cadences[name] = first
    return cadences
