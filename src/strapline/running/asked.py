"""What a tester asks for by name, beside what there is."""

from __future__ import annotations

import importlib
import re
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strapline.ground.documents import DocumentError
from strapline.ground.mistakes import nearest
from strapline.ground.vocabulary import FIRST_ACTIVITIES, UNSTATED
from strapline.ground.words import plain

if TYPE_CHECKING:
    from strapline.ground.settings import Settings
    from strapline.running.snakemake_hooks.asked import Asked

MOST_LISTED = 40
PUBLISH = "publish"


def among(
    kind: str, wanted: str, known: Iterable[str], where: str = "", words: Collection[str] = ()
) -> str:
    """`wanted`; raises DocumentError that says what there is, where it is not among that.

    `where`: what asks for it, if not the command line; `words`: what else may be meant.
    """
    names = list(known)
    if wanted not in names:
        more = f" and {len(names) - MOST_LISTED} more" if len(names) > MOST_LISTED else ""
        listed = ", ".join(map(plain, names[:MOST_LISTED])) or "none"
        hint = did_you_mean(wanted, [*names, *words])
        asked = f"{where}: there" if where else "there"
        raise DocumentError(
            f"{asked} is no {kind} '{plain(wanted, 80)}'.{hint} There are: {listed}{more}."
        )
    return wanted


def called(
    kind: str, wanted: str, known: Iterable[str], words: Mapping[str, str] | None = None
) -> str:
    """The one that is wanted, in whatever capitals and signs between words; raises as `among` does.

    `words`: what pages call some of them, by that."""
    names = list(known)
    said = {word: name for word, name in (words or {}).items() if name in names}
    alike = {name for name in names if _alike(name) == _alike(wanted)}
    alike = alike or {name for word, name in said.items() if _alike(word) == _alike(wanted)}
    return alike.pop() if len(alike) == 1 else among(kind, wanted, names, words=said)


def _alike(name: str) -> str:
    return " ".join(re.findall(r"[\w%]+", name.casefold().replace("_", " ")))


def must_be_known(settings: Settings, devices: Collection[str], activities: Iterable[str]) -> None:
    """Raises DocumentError where the settings plan a device or activity that nobody knows, nor an
    export could say; `devices` are those of the register that are no reference, `activities` those
    of sessions."""
    for device in settings.plan.devices:
        among("device", device, devices, "plan.devices in the settings")
    planned = {"activities": settings.plan.activities, "week": settings.plan.week}
    # Many cards are not read where nothing is asked.
    known = known_activities(settings, activities) if any(planned.values()) else []
    for key, names in planned.items():
        for activity in names:
            if activity not in known and not _is_sport(activity):
                among("activity", activity, known, f"plan.{key} in the settings")


def must_be_published(
    config: Mapping[str, Any], settings: Settings, sessions: Iterable[str], asked: Asked
) -> str:
    """The one session that is to be published, or ''. Raises DocumentError where there is no such
    session or picture, or where nothing is to be published."""
    wanted = str(config.get("session", ""))
    if PUBLISH not in asked.targets:
        if wanted:
            raise DocumentError("--config session=… goes with `snakemake publish` alone.")
        return ""
    if settings.publish.pictures:
        known = importlib.import_module("strapline.telling.publish.published").PICTURES
        for picture in settings.publish.pictures:
            among("picture", picture, known, "publish.pictures in the settings")
    return among("session", wanted, sessions) if wanted else ""


def known_activities(settings: Settings, activities: Iterable[str]) -> list[str]:
    """Those of sessions, that the settings name, and that a plan begins with."""
    return sorted({*activities, *settings.activities.root, *FIRST_ACTIVITIES} - {UNSTATED})


def _is_sport(activity: str) -> bool:
    # Readers take a second to import, and most plans need none.
    known_words = importlib.import_module("strapline.reading.formats.identity")
    return bool(known_words.is_sport(activity))


def did_you_mean(wanted: str, known: Iterable[str]) -> str:
    """' Did you mean 'x'?', or nothing."""
    near = nearest(wanted, known)
    return f" Did you mean '{plain(near)}'?" if near else ""


def session_of(results: Path, wanted: str) -> str:
    """A session that has its figures; raises DocumentError for any other."""
    sessions = sorted(path.parent.name for path in results.glob("sessions/*/ledger.json"))
    if not sessions:
        raise DocumentError(f"{results} holds no results yet. Type `snakemake` first.")
    return called("session", wanted, sessions)
