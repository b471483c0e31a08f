"""Devices worn in the same sessions, a row a pair: which of the two was closer, by how much, and in
which sessions."""

import math
from collections.abc import Sequence
from typing import Any

import pandas as pd

from strapline.ground.vocabulary import ALL_ACTIVITIES, Clocks
from strapline.ground.words import bpm, counted, listed, number, plain
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.chart import CLOCKS, Chart
from strapline.telling.charts.picture import Content, by_column
from strapline.telling.charts.places import places

NOTHING = "No two devices could be compared in the same session yet."
QUESTION = "Which of two devices is closer to the strap?"
# Of a bench with more pairs, those that are clearest are drawn.
MOST = 30


def content(tables: ArchiveTables, bench: Sequence[str]) -> Content | None:
    """Of each pair over all activities, the median of sessions and its interval (COMPARISONS), and
    every session (PAIRED). On the left stands the device that was closer in the median session."""
    found = pairs(tables)
    if not found:
        return None
    shown = found[:MOST]
    place = places(sorted({row[side] for row in shown for side in ("left", "right")}), bench)
    rows = [
        {
            "row": at,
            "left": plain(tables.labels.get(row["left"], row["left"])),
            "right": plain(tables.labels.get(row["right"], row["right"])),
            "left_place": place[row["left"]],
            "right_place": place[row["right"]],
            "said": _said(row),
            "short": f"by {number(row['by'])}",
            "median": _to_the_left(row["by"]),
            "from": _to_the_left(row["high"]),
            "to": _to_the_left(row["low"]),
        }
        for at, row in enumerate(shown)
    ]
    sessions = [
        {"row": at, "at": _to_the_left(by), "place": place[row["left" if by >= 0 else "right"]]}
        for at, row in enumerate(shown)
        for by in row["sessions"]
    ]
    each = [by for row in shown for by in (*row["sessions"], row["by"], row["low"], row["high"])]
    reach = max(1.0, *(abs(by) for by in each if not math.isnan(by)))
    left_out = f" The clearest {MOST} of {len(found)} pairs." if len(found) > MOST else ""
    return Content(
        "By how much less the one was off than the other, bpm, over all activities. Dot: median "
        "session; bar: its interval, at 95 % for all pairs together; faint: each session; "
        f"{CLOCKS}.{left_out}",
        {"rows": by_column(rows), "sessions": by_column(sessions)},
        {"reach": math.ceil(1.05 * reach)},
    )


def finding(tables: ArchiveTables) -> str:
    """'Lantern watch was closer than Thimble band in 9 of 10 sessions', if that is not chance."""
    found = pairs(tables)
    if not found or not found[0]["clear"]:
        return QUESTION
    often = f"{found[0]['closer']:g} of {counted(len(found[0]['sessions']), 'session')}"
    left, right = (tables.labels.get(found[0][side], found[0][side]) for side in ("left", "right"))
    return f"{plain(left)} was closer than {plain(right)} in {often}"


def alt(tables: ArchiveTables) -> str:
    """Each pair that is drawn, with the median and its interval."""
    told = [
        f"{plain(tables.labels.get(row['left'], row['left']))} than "
        f"{plain(tables.labels.get(row['right'], row['right']))} {_said(row)} in "
        f"{counted(len(row['sessions']), 'session')}"
        for row in pairs(tables)[:MOST]
    ]
    return f"Closer in the median session: {listed(told)}." if told else NOTHING


def pairs(tables: ArchiveTables) -> list[dict[str, Any]]:
    """A pair each, those first that are apart by more than chance, then by how far: `left` was
    closer than `right` `by` so much, from `low` to `high`, in each of `sessions`; `closer`: in how
    many of them."""
    drawn = _over_all(tables.comparisons)
    each = _over_all(tables.paired)
    own = each.groupby(["device_a", "device_b"], observed=True)["difference"].agg(list)
    found = []
    for row in drawn[drawn["difference"].notna()].to_dict("records"):
        a, b, closer = row["device_a"], row["device_b"], row["closer"] * row["sessions"]
        ends = {"by": row["difference"], "low": row["low"], "high": row["high"]}
        sessions = own.get((a, b), [])
        # Told from the side of the one that was closer, of which A's difference is below 0.
        if row["difference"] <= 0:
            ends = {"by": -row["difference"], "low": -row["high"], "high": -row["low"]}
            sessions = [-each for each in sessions]
            names = {"left": a, "right": b, "closer": closer}
        else:
            names = {"left": b, "right": a, "closer": row["sessions"] - closer}
        found.append({**names, **ends, "sessions": sessions, "clear": ends["low"] > 0})
    return sorted(found, key=lambda row: (not row["clear"], -row["by"], row["left"], row["right"]))


def _over_all(table: pd.DataFrame) -> pd.DataFrame:
    return table[
        (table["metric"] == "mae")
        & (table["alignment"] == Clocks.SETTLED)
        & (table["activity"] == ALL_ACTIVITIES)
    ].astype({"device_a": str, "device_b": str})


def _said(row: dict[str, Any]) -> str:
    """'by 2.1 bpm (0.3 to 4.0)'."""
    if math.isnan(row["low"]) or math.isnan(row["high"]):
        return f"by {bpm(row['by'])}"
    return f"by {bpm(row['by'])} ({number(row['low'])} to {number(row['high'])})"


def _to_the_left(by: float) -> float | None:
    """Where it is drawn: left of zero, the left device was closer."""
    return None if math.isnan(by) else round(-by, 2) or 0.0


HEAD_TO_HEAD = Chart(
    name="head-to-head",
    about="archive",
    section="pairs",
    needs=("comparisons", "paired", "devices"),
    question=QUESTION,
    finding=finding,
    alt=alt,
    content=content,
    told=True,
)
