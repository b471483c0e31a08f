"""An archive in parts: a new session changes one of them, and only that is gathered anew."""

import hashlib
from collections.abc import Iterable

MOST_A_PART = 64
NAME = r"[0-9]+-of-[0-9]+"


def parts(sessions: Iterable[str]) -> dict[str, list[str]]:
    """The sessions of each part, by its name, such as 3-of-8, in order of name.

    A session's part goes by its name alone until there are twice as many parts: enough, by
    doubling, for MOST_A_PART sessions in each on average.
    """
    names = sorted(sessions)
    count = 1
    while count * MOST_A_PART < len(names):
        count *= 2
    found: dict[str, list[str]] = {}
    for name in names:
        number = int.from_bytes(hashlib.sha256(name.encode()).digest()[:4], "big") % count
        found.setdefault(f"{number:0{len(str(count - 1))}}-of-{count}", []).append(name)
    return dict(sorted(found.items()))
