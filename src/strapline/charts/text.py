"""Text that came from files, made safe to draw: it stays text and moves nothing around it."""

import unicodedata
from collections.abc import Sequence

from strapline.vocabulary import ALL, OURS

REPLACED = "\N{REPLACEMENT CHARACTER}"
_JOINERS = "\N{ZERO WIDTH JOINER}\N{ZERO WIDTH NON-JOINER}"


def plain(text: str, limit: int | None = None) -> str:
    """`text` on one line, without characters that steer direction, at most `limit` long.

    Direction marks, and whatever XML cannot hold, are shown as the replacement character.
    """
    visible = text if text.isprintable() else "".join(map(_visible, text))
    line = " ".join(visible.split())
    if limit is None or len(line) <= limit:
        return line
    return line[: limit - 1].rstrip() + "…"


def signed(value: float) -> str:
    """'+4.2', '−23.0' with a true minus sign, and '0.0' without a sign."""
    text = f"{value:+.1f}"
    return "0.0" if text in ("+0.0", "-0.0") else text.replace("-", "−")


def words(name: str) -> str:
    """An activity's short name as a reader would write it: 'daily-life' is 'Daily life'.

    What would then read as words of ours stays as it is, in quotes: 'not-stated'.
    """
    text = plain(name).replace("-", " ").replace("_", " ")
    if text in OURS | {ALL} and name not in OURS:
        return f"‘{plain(name)}’"
    return text[:1].upper() + text[1:]


def listed(names: Sequence[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    return " and ".join(filter(None, [", ".join(names[:-1]), *names[-1:]]))


def counted(count: int, thing: str) -> str:
    """'one session', '3 sessions'."""
    return f"{'one' if count == 1 else count} {thing}{'' if count == 1 else 's'}"


def worn_by(wearers: int) -> str:
    """'3 wearers', or that nobody said who."""
    return counted(wearers, "wearer") if wearers else "unknown wearer"


def _visible(character: str) -> str:
    if character.isspace():
        return " "
    if character in _JOINERS:
        return character
    unseen = unicodedata.category(character) in ("Cc", "Cf", "Cs", "Cn")
    return REPLACED if unseen else character
