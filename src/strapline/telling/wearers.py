"""What wearers are called in whatever may be published: the one place that says so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.addresses import without_names
from strapline.ground.vocabulary import UNSTATED
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.session_tables import SessionTables

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation


def called(sessions: pd.DataFrame, presentation: Presentation) -> dict[str, str]:
    """By wearer of SESSIONS: a letter, in order of their first sessions, or the name where the
    settings ask for names."""
    ordered = sessions.astype({"session": str, "wearer": str}).sort_values(
        ["started_at", "session"], na_position="last"
    )
    stated = [name for name in dict.fromkeys(ordered["wearer"]) if name != UNSTATED]
    if presentation.name_wearers:
        return {name: name for name in stated}
    return {name: _letter(place) for place, name in enumerate(stated)}


def as_called(archive: ArchiveTables, presentation: Presentation) -> ArchiveTables:
    """The same with wearers, and the titles of their sessions, as `called` has them."""
    return replace(archive, sessions=sessions_as_called(archive.sessions, presentation))


def sessions_as_called(sessions: pd.DataFrame, presentation: Presentation) -> pd.DataFrame:
    """SESSIONS, the same."""
    names, wearers = called(sessions, presentation), sessions["wearer"].astype(str)
    titles = [titled(title, names, presentation) for title in sessions["title"]]
    words = wearers.map(names).fillna(wearers).astype("category")
    return sessions.assign(title=titles, wearer=words)


def session_as_called(
    tables: SessionTables, presentation: Presentation, names: Mapping[str, str] | None = None
) -> SessionTables:
    """The same for one session; `names`: as `called` has them, where that is known."""
    intake = tables.intake
    title = titled(intake.title, names or {intake.wearer}, presentation)
    named = presentation.name_wearers or intake.wearer == UNSTATED
    wearer = intake.wearer if named else (names or {}).get(intake.wearer, "")
    return replace(tables, intake=intake.model_copy(update={"title": title}), worn_by=wearer)


def titled(title: str, wearers: Iterable[str], presentation: Presentation) -> str:
    """A session's title, without the names of wearers unless the settings ask for names."""
    if presentation.name_wearers:
        return title
    return without_names(title, {*wearers} - {UNSTATED}).strip(" _-") or "Session"


def _letter(place: int) -> str:
    """'A' to 'Z', then 'AA' and so on."""
    rest, last = divmod(place, 26)
    return (_letter(rest - 1) if rest else "") + chr(ord("A") + last)
