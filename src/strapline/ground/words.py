"""Numbers, lists and counts as a reader meets them, and text that came from files, made safe to
show: it stays text and moves nothing around it."""

from __future__ import annotations

import datetime as dt
import math
import unicodedata
from collections.abc import Sequence
from typing import TYPE_CHECKING

from strapline.ground.vocabulary import ALL, OURS, UNSTATED

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance

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


def in_words(name: str) -> str:
    """An activity's short name as a reader would write it: 'daily-life' is 'Daily life'.

    What would then read as words of ours stays as it is, in quotes: 'not-stated'.
    """
    text = plain(name).replace("-", " ").replace("_", " ")
    if text in OURS | {ALL} and name not in OURS:
        return f"‘{plain(name)}’"
    return text[:1].upper() + text[1:]


def day(at: dt.datetime) -> str:
    """'2 April 2026'."""
    return f"{at:%d %B %Y}".lstrip("0")


def listed(names: Sequence[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    return " and ".join(filter(None, [", ".join(names[:-1]), *names[-1:]]))


def things(count: float, thing: str) -> str:
    """'session' of one, 'sessions' of any other number."""
    return thing if count == 1 else f"{thing}s"


def counted(count: int, thing: str) -> str:
    """'one session', '3 sessions'."""
    return f"{'one' if count == 1 else count} {things(count, thing)}"


def times(count: int) -> str:
    """'once', 'twice', '3 times'."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def sessions_at(count: int, activity: str) -> str:
    """'one desk session', '3 desk sessions'; 'one session' where nobody said what was done."""
    what = "" if activity == UNSTATED else f"{in_words(activity).lower()} "
    return counted(count, f"{what}session")


def in_figures(count: int, thing: str) -> str:
    """'1 session', '3 sessions'."""
    return f"{count} {things(count, thing)}"


def worn_by(wearers: int, unnamed: int = 0) -> str:
    """'3 wearers', or that nobody said who; `unnamed` is the number of sessions of which that
    holds where it holds of some."""
    if not wearers:
        return "unknown wearer"
    if unnamed:
        nameless = f"{counted(unnamed, 'session')} without a named wearer"
        return f"{counted(wearers, 'named wearer')}, and {nameless}"
    return counted(wearers, "wearer")


def number(value: float | None, plus: bool = False, decimals: int = 1) -> str:
    """'12.0', '−3.4' with a true minus sign; '–' where there is no figure."""
    if value is None or not math.isfinite(value):
        return MISSING
    text = f"{value:+.{decimals}f}" if plus else f"{value:.{decimals}f}"
    if not text.strip("+-0."):
        return text.lstrip("+-")
    return text.replace("-", "−")


def shift(seconds: float) -> str:
    """Of a clock: '+4.0 s', '−26.7 s'."""
    return f"{number(seconds, plus=True)} s"


def bpm(value: float | None, plus: bool = False) -> str:
    """Of a mean or a difference: '107.0 bpm', '−31.9 bpm'."""
    return f"{number(value, plus)} bpm"


def reading(value: float | None) -> str:
    """Of what a sensor showed, or a limit: '171', a tenth only where there is one: '171.4'."""
    return number(value).removesuffix(".0")


def percent(value: float | None, plus: bool = False) -> str:
    return f"{number(value, plus)} %"


def share(part: float) -> str:
    """A part of 1 as '12 %', and '0.4 %' below one in a hundred."""
    value = 100 * part
    return f"{number(value, decimals=1 if 0 < value < 0.95 else 0)} %"


def clock(seconds: float) -> str:
    """A moment of the session: '1:20', '1:02:05'."""
    hours, minute, second = _in_hours(seconds)
    return f"{hours}:{minute:02}:{second:02}" if hours else f"{minute}:{second:02}"


def lasting(seconds: float) -> str:
    """A length of time: '45 s', '6 min 10 s', '1 h 5 min'."""
    hours, minute, second = _in_hours(seconds)
    parts = [(hours, "h"), (minute, "min"), (0 if hours else second, "s")]
    return " ".join(f"{value} {unit}" for value, unit in parts if value) or "0 s"


def exact(value: float | None) -> str:
    """As many digits as a person compares: '3.27140561'."""
    if value is None or math.isnan(value):
        return "no figure"
    return f"{value:.9g}".replace("-", "−")


def tolerance_words(tolerance: Tolerance) -> str:
    return f"{tolerance.beats:g} bpm or {tolerance.percent:g} %, whichever is wider"


def _in_hours(seconds: float) -> tuple[int, int, int]:
    minutes, second = divmod(round(seconds), 60)
    return (*divmod(minutes, 60), second)


def _visible(character: str) -> str:
    if character.isspace():
        return " "
    if character in _JOINERS:
        return character
    unseen = unicodedata.category(character) in ("Cc", "Cf", "Cs", "Cn")
    return REPLACED if unseen else character
