"""Spreadsheet: the archive's tables -> figures.csv, a row a session and device."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.tables.archive import DEVICES, PLACEMENTS, SESSIONS, labels_of
from strapline.ground.tables.sessions import WHOLE_SESSIONS
from strapline.ground.vocabulary import Clocks, Scope
from strapline.telling.report.spreadsheet import spreadsheet, write_spreadsheet
from strapline.telling.wearers import sessions_as_called

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation, Tolerance


def run(
    *,
    whole_sessions: str,
    sessions: str,
    placements: str,
    devices: str,
    figures: str,
    tolerance: Tolerance,
    presentation: Presentation,
) -> None:
    rows = spreadsheet(
        WHOLE_SESSIONS.read(whole_sessions, scope=[Scope.WHOLE], alignment=[Clocks.SETTLED]),
        sessions_as_called(SESSIONS.read(sessions), presentation),
        PLACEMENTS.read(placements),
        labels_of(DEVICES.read(devices)),
        tolerance,
    )
    write_spreadsheet(rows, figures)
