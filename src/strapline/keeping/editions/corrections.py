"""Corrections of what was published: why, as the tester says, and which figures moved with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from strapline.ground.tables.editions import CHANGES, CORRECTIONS, KEY_NAMES
from strapline.keeping.editions.causes import is_mended


@dataclass(frozen=True)
class Correction:
    """`moved`: the session's rows of CHANGES, from what was published first to what is now; empty
    as long as nothing moved. `place`: that of the edition in which it got them."""

    session: str
    why: str
    moved: pd.DataFrame
    place: int


def corrections(changes: Sequence[pd.DataFrame]) -> list[Correction]:
    """All that stand, the newest first; `changes`: of each edition, oldest first, a frame under
    CHANGES.

    A reason has the figures of its session that moved, since the reason before, because of what
    the tester mended: those of its own edition and of earlier ones, else of the next. So it may be
    said before or after the run that moves them.
    """
    said = [rows[rows["place"] == CORRECTIONS]["session"].astype(str) for rows in changes]
    found = [
        each
        for session in dict.fromkeys(name for names in said for name in names)
        for each in _of_session(session, changes)
    ]
    return sorted(found, key=lambda each: each.place, reverse=True)


def _of_session(session: str, changes: Sequence[pd.DataFrame]) -> list[Correction]:
    stand: list[Correction] = []
    waiting: Correction | None = None
    moved = CHANGES.empty()
    for place, rows in enumerate(changes):
        own = rows[rows["session"] == session]
        for row in own[own["place"] == CORRECTIONS].itertuples():
            waiting = Correction(session, str(row.wording_after), CHANGES.empty(), place)
            if row.change == "gone":
                stand, waiting = [], None
        if stand:
            stand[-1] = _with_what_is_back(stand[-1], own, place)
        if _is_new(own):
            waiting, moved = None, CHANGES.empty()
            continue
        others = own[own["change"] == "redefined"]
        moved = _joined(moved[~_are_among(moved, others)], _of_mending(own))
        if waiting and len(moved):
            stand.append(replace(waiting, moved=moved, place=place))
            waiting, moved = None, CHANGES.empty()
    if waiting and stand:
        # As long as nothing moves for it, it is the last one in other words.
        stand[-1] = replace(stand[-1], why=waiting.why, place=waiting.place)
    return stand or ([waiting] if waiting else [])


def _of_mending(own: pd.DataFrame) -> pd.DataFrame:
    """The figures that moved or were taken back because of what the tester mended."""
    figures = own["change"].isin(["moved", "gone"]) & own["before"].notna()
    return own[figures & own["why"].map(is_mended).astype(bool)]


def _with_what_is_back(last: Correction, own: pd.DataFrame, place: int) -> Correction:
    """With what was withdrawn and is published again as it is now."""
    withdrawn = last.moved[last.moved["after"].isna()]
    back = own[(own["change"] == "new") & _are_among(own, withdrawn)]
    if back.empty:
        return last
    return replace(last, moved=_joined(last.moved, back), place=place)


def _are_among(rows: pd.DataFrame, others: pd.DataFrame) -> np.ndarray:
    """Which rows are of figures that are among others. What has moved, and is another figure since,
    is told no more: what it was is no measure of what it is."""
    keys = [pd.MultiIndex.from_frame(table[KEY_NAMES].astype(str)) for table in (rows, others)]
    among: np.ndarray = keys[0].isin(keys[1])
    return among


def _joined(before: pd.DataFrame, after: pd.DataFrame) -> pd.DataFrame:
    """Of a figure that moved twice, from the first to the last; none of one that is back."""
    rows = CHANGES.joined([before, after])
    first = rows.drop_duplicates(KEY_NAMES).set_index(KEY_NAMES)
    last = rows.drop_duplicates(KEY_NAMES, keep="last").set_index(KEY_NAMES)
    then = ["before", "low_before", "high_before"]
    joined = last.assign(**{name: first[name] for name in then}).reset_index()
    joined = joined[joined["before"].ne(joined["after"])]
    return CHANGES.frame({name: joined[name] for name in CHANGES.column_names})


def _is_new(own: pd.DataFrame) -> bool:
    """Whether figures of the session were first published there."""
    figures = own[own["place"] != CORRECTIONS]
    return bool(len(figures)) and bool((figures["change"] == "new").all())
