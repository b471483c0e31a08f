"""An archive in parts: a new session changes one of them, and only that is gathered anew."""

import hashlib
from collections.abc import Iterable

SESSIONS_A_PART = 64
FIRST = "first"


def parts(sessions: Iterable[str]) -> dict[str, list[str]]:
    """The sessions of each part, by its name, all in order of name.

    One session in SESSIONS_A_PART, chosen by its name alone, begins a part: so one more session
    changes the part that it falls into, or divides it, and no other.
    """
    found: dict[str, list[str]] = {FIRST: []}
    for session in sorted(sessions):
        if _begins_a_part(session):
            found[f"from-{session}"] = []
        found[next(reversed(found))].append(session)
    return {name: held for name, held in found.items() if held}


def _begins_a_part(session: str) -> bool:
    digest = hashlib.sha256(session.encode()).digest()
    return int.from_bytes(digest[:4], "big") % SESSIONS_A_PART == 0
