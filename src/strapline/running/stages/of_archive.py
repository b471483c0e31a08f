"""The archive's tables as the record that pictures and pages are made of."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from strapline.ground.tables.archive import (
    COMPARISONS,
    CONDITIONS,
    DEVICES,
    FAULTS,
    FINDINGS,
    FIRMWARE,
    NOTICES,
    PLACEMENTS,
    SESSIONS,
    STANDINGS,
)
from strapline.ground.tables.sessions import WHOLE_SESSIONS
from strapline.ground.vocabulary import Scope
from strapline.telling.archive_tables import ArchiveTables

READ: Mapping[str, Callable[[str], Any]] = {
    "sessions": SESSIONS.read,
    "whole_sessions": partial(WHOLE_SESSIONS.read, scope=[Scope.WHOLE]),
    "standings": STANDINGS.read,
    "findings": FINDINGS.read,
    "comparisons": COMPARISONS.read,
    "firmware": FIRMWARE.read,
    "faults": FAULTS.read,
    "conditions": CONDITIONS.read,
    "placements": PLACEMENTS.read,
    "notices": NOTICES.read,
    "devices": DEVICES.read,
}


def archive_tables(files: Mapping[str, str], needed: Iterable[str]) -> ArchiveTables:
    """What is `needed` of the tables in `files`, which go by the record's fields; the rest is
    without rows.

    Raises KeyError where the rule does not give what is needed.
    """
    read = {name: READ[name](files[name]) for name in sorted(needed)}
    return replace(ArchiveTables.without_rows(), **read)
