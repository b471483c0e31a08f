"""What wearers are called in whatever may be published: the one place that says so."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.slugs import slug
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


def addresses(sessions: pd.DataFrame, presentation: Presentation) -> dict[str, str]:
    """What each of SESSIONS is called in addresses of the site: its own name, or one without its
    wearer's, with a number where that is taken."""
    words = sessions.astype({"session": str, "wearer": str}).sort_values("session")
    wearers = called(sessions, presentation)
    rows = dict(zip(words["session"], words["title"], strict=True))
    titles = {name: titled(title, wearers, presentation) for name, title in rows.items()}
    found = {name: name for name, title in rows.items() if titles[name] == title}
    for name in sorted(titles.keys() - found.keys()):
        free, number = slug(titles[name]), 1
        while free in found.values():
            number += 1
            free = f"{slug(titles[name])}-{number}"
        found[name] = free
    return found


def titled(title: str, wearers: Iterable[str], presentation: Presentation) -> str:
    """A session's title, without the names of wearers unless the settings ask for names."""
    for wearer in [] if presentation.name_wearers else sorted({*wearers} - {UNSTATED}):
        # A letter with an accent is the letter.
        bare = "".join(unicodedata.normalize("NFKD", letter)[0] for letter in title)
        name = r"[\W_]+".join(re.split("[-_]+", wearer))
        found = re.finditer(rf"(?<![^\W_]){name}(?:[’']s)?(?![^\W_])[\s_-]*", bare, re.IGNORECASE)
        for match in reversed(list(found)):
            title = title[: match.start()] + title[match.end() :]
    return title.strip(" _-") or "Session"


def _letter(place: int) -> str:
    """'A' to 'Z', then 'AA' and so on."""
    rest, last = divmod(place, 26)
    return (_letter(rest - 1) if rest else "") + chr(ord("A") + last)
