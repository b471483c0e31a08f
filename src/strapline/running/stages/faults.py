"""Faults: all episodes and courses -> how often a device is not right, and in what conditions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.tables.archive import CONDITIONS, FAULTS, PLACEMENTS, SESSIONS
from strapline.ground.tables.sessions import COURSES, EPISODES
from strapline.method.agreement.votes import that_count
from strapline.method.episodes.conditions import conditions, stated_conditions
from strapline.method.episodes.faults import fault_seconds, faults

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Episodes, OverAll


def run(
    *,
    part_found: list[str],
    part_courses: list[str],
    sessions: str,
    placements: str,
    faults_table: str,
    conditions_table: str,
    episodes: Episodes,
    claims: Claims,
    over_all: OverAll,
) -> None:
    placed = PLACEMENTS.read(placements)
    found, courses = (
        that_count(table, placed)
        for table in (EPISODES.read(part_found), COURSES.read(part_courses))
    )
    stated = stated_conditions(placed, SESSIONS.read(sessions))
    # Being on track for as long as an episode must last is to have come back.
    FAULTS.write(faults(found, courses, episodes.shortest_s, over_all), faults_table)
    seconds = fault_seconds(found, courses)
    CONDITIONS.write(conditions(seconds, stated, claims.tends), conditions_table)
