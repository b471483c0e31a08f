"""Numbers, lists and counts as a reader meets them, and text that came from files, made safe to
show: it stays text and moves nothing around it."""

import math
import unicodedata
from collections.abc import Sequence

from strapline.ground.settings import Tolerance
from strapline.ground.vocabulary import ALL, OURS

MISSING = "–"
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


def number(value: float | None, plus: bool = False, decimals: int = 1) -> str:
    """'12.0', '−3.4' with a true minus sign; '–' where there is no figure."""
    if value is None or not math.isfinite(value):
        return MISSING
    text = f"{value:+.{decimals}f}" if plus else f"{value:.{decimals}f}"
    if not text.strip("+-0."):
        return text.lstrip("+-")
    return text.replace("-", "−")


def bpm(value: float | None, plus: bool = False) -> str:
    """Of a mean or a difference: '107.0 bpm', '−31.9 bpm'."""
    return f"{number(value, plus)} bpm"


def reading(value: float | None) -> str:
    """Of what a sensor showed, or a limit: '171', a tenth only where there is one: '171.4'."""
    return number(value).removesuffix(".0")


def percent(value: float | None, plus: bool = False) -> str:
    return f"{number(value, plus)} %"


def exact(value: float | None) -> str:
    """As many digits as a person compares: '3.27140561'."""
    if value is None or math.isnan(value):
        return "no figure"
    return f"{value:.9g}".replace("-", "−")


def tolerance_words(tolerance: Tolerance) -> str:
    return f"{tolerance.beats:g} bpm or {tolerance.percent:g} %, whichever is wider"


def _visible(character: str) -> str:
    if character.isspace():
        return " "
    if character in _JOINERS:
        return character
    unseen = unicodedata.category(character) in ("Cc", "Cf", "Cs", "Cn")
    return REPLACED if unseen else character
