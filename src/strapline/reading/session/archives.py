"""An archive of many exports in a session's folder: only what shares its time is of the session."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING

from strapline.ground.records.intake import Notice
from strapline.ground.vocabulary import FileClock, NoticeKind
from strapline.reading.formats.several import FORMAT

if TYPE_CHECKING:
    from strapline.reading.session.parsed import ParsedExport

# Wall-clock times are at most so far from UTC.
FURTHEST_ZONE = dt.timedelta(hours=14)


def of_this_time(
    exports: Sequence[ParsedExport],
) -> tuple[list[ParsedExport], list[Notice]]:
    """The exports without those of archives that share no time with the session's other files, and
    a word on how many those are; all, where no other file has a time."""
    kept, notices = [], list[Notice]()
    for export in exports:
        others = [o for o in exports if o.file != export.file and o.first and o.last]
        if export.format != FORMAT or not others or any(_share(export, o) for o in others):
            kept.append(export)
    for file in dict.fromkeys(export.file for export in exports if export not in kept):
        of_file = [export for export in exports if export.file == file]
        left = sum(export not in kept for export in of_file)
        text = (
            f"An archive in the folder holds {len(of_file)} recordings; {left} of them share no "
            "time with the session's other files and are left out."
        )
        notices.append(Notice(kind=NoticeKind.SET_ASIDE, text=text))
    return kept, notices


def _share(export: ParsedExport, other: ParsedExport) -> bool:
    if not (export.first and export.last and other.first and other.last):
        return False
    slack = dt.timedelta(0) if other.clock == FileClock.UTC else FURTHEST_ZONE
    return export.first < other.last + slack and other.first - slack < export.last
