"""The sessions of one device in outline, side by side on one scale: how far off it was when."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

import pandas as pd

from strapline.ground.words import bpm, day, in_words

# Of each activity the newest sessions are shown.
MOST = 8
# In bpm either way, alike for all devices: what is further is cut off there, and marked.
REACH = 20
MARKED = REACH + 3

Ends = Sequence[tuple[int, int] | None]


@dataclass(frozen=True)
class Outline:
    """A session: when, its mean absolute error, and the outline as the path of an SVG, whose
    pixels are parts of the session by bpm; `beyond`: the parts in which that is cut off."""

    session: str
    on: str
    error: float
    path: str
    beyond: str


@dataclass(frozen=True)
class Outlines:
    """Of one device. finding: its worst session. rows: by activity, how many sessions there are and
    the newest of them."""

    finding: str
    parts: int
    rows: Sequence[tuple[str, int, Sequence[Outline]]]


def outlines(device: str, courses: pd.DataFrame, sessions: pd.DataFrame) -> Outlines | None:
    """From COURSES and SESSIONS, newest first; None where nothing was compared."""
    own = courses[(courses["device"] == device) & courses["outline"].notna()]
    own = own.astype({"session": str, "activity": str}).merge(
        sessions[["session", "started_at"]].astype({"session": str}), on="session"
    )
    if own.empty:
        return None
    own = own.sort_values(
        ["started_at", "session", "recording"], ascending=[False, True, True], na_position="last"
    )
    rows: list[tuple[str, int, Sequence[Outline]]] = []
    for activity, group in own.groupby("activity"):
        newest = group.head(MOST).to_dict("records")
        parts = [json.loads(row["outline"]) for row in newest]
        shown = [_outline(row, ends) for row, ends in zip(newest, parts, strict=True)]
        rows.append((str(activity), len(group), shown))
    return Outlines(_finding(own), len(parts[0]), rows)


def _finding(own: pd.DataFrame) -> str:
    """'Furthest off at strength, 4 March 2026: by 12.3 bpm.'"""
    worst = own.sort_values("error_bpm", ascending=False, kind="stable").iloc[0]
    on = "" if pd.isna(worst["started_at"]) else f", {day(worst['started_at'])}"
    off = f"off at {in_words(worst['activity']).lower()}{on}: by {bpm(worst['error_bpm'])}"
    return f"Furthest {off}" if len(own) > 1 else f"{off[:1].upper()}{off[1:]}"


def _outline(row: Mapping[Any, Any], ends: Ends) -> Outline:
    on = "" if pd.isna(row["started_at"]) else f"{row['started_at']:%Y-%m-%d}"
    drawn = [both and (_within(both[0]), _within(both[1])) for both in ends]
    return Outline(row["session"], on, row["error_bpm"], _path(drawn), _beyond(ends))


def _within(error: int) -> int:
    return min(max(error, -REACH), REACH)


def _beyond(ends: Ends) -> str:
    """Apart from the outline's upper edge, and the lower."""
    cut = [(at, both) for at, both in enumerate(ends) if both]
    over = [f"M{at} {-MARKED}h1" for at, (_, high) in cut if high > REACH]
    under = [f"M{at} {MARKED}h1" for at, (low, _) in cut if low < -REACH]
    return "".join(over + under)


def _path(ends: Ends) -> str:
    """Round the greatest and back by the least, once for each stretch without a gap."""
    drawn = []
    for there, stretch in groupby(enumerate(ends), key=lambda one: one[1] is not None):
        known = [(at, *both) for at, both in stretch if both]
        if there:
            out = "".join(f"V{-high}H{at + 1}" for at, _, high in known)
            back = "".join(f"V{-low}H{at}" for at, low, _ in reversed(known))
            drawn.append(f"M{known[0][0]} 0{out}{back}Z")
    return "".join(drawn)
