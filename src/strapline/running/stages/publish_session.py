"""Publish session: a session's tables -> pictures, words and figures to be published."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.files import read_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import read_intake
from strapline.ground.tables.sessions import ALIGNED, CONSEQUENCES, EPISODES, METRICS, OFFSETS
from strapline.telling.charts.session_charts import session_charts
from strapline.telling.publish import sources
from strapline.telling.publish.folder import FRAMES, publish
from strapline.telling.publish.tables import session_markdown, session_rows

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation, Tolerance


def run(
    *,
    intake: str,
    aligned: str,
    metrics: str,
    clocks: str,
    offsets: str,
    found: str,
    consequences: str,
    folder: str,
    bench: str,
    edition: str,
    tolerance: Tolerance,
    presentation: Presentation,
) -> None:
    """`bench`: JSON list of the register's tested devices; `edition`: the figures' fingerprint."""
    session, grid, figures = read_intake(intake), ALIGNED.read(aligned), METRICS.read(metrics)
    decided = read_model(clocks, SessionAlignment)
    tables = (
        session,
        grid,
        figures,
        decided,
        OFFSETS.read(offsets),
        EPISODES.read(found),
        CONSEQUENCES.read(consequences),
    )
    look = (tolerance, presentation, json.loads(bench))
    rows = session_rows(session, figures, tolerance)
    started_at = grid["time"].min() if len(grid) else None
    publish(
        Path(folder),
        {frame: session_charts(*tables, *look, frame) for frame in FRAMES},
        rows,
        session_markdown(rows),
        sources.of_session(session, started_at, edition),
        presentation.credit,
    )
