"""Consequences: the aligned grid -> what the heart rates would have meant for the wearer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.records.intake import read_intake
from strapline.ground.tables.sessions import ALIGNED, CONSEQUENCES
from strapline.method.consequences.session_consequences import session_consequences

if TYPE_CHECKING:
    from strapline.ground.settings import Alarm, Effort, Intervals


def run(
    *,
    intake: str,
    aligned: str,
    consequences: str,
    effort: Effort,
    alarm: Alarm,
    intervals: Intervals,
) -> None:
    session, grid = read_intake(intake), ALIGNED.read(aligned)
    table = session_consequences(grid, session, effort, alarm, intervals)
    CONSEQUENCES.write(table, consequences)
