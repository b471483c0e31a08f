"""Devices worn in the same sessions, a row a pair: which of the two was closer, by how much, and in
which sessions."""

import math
from collections.abc import Sequence
from typing import Any

import pandas as pd

from strapline.ground.records.marks import starred
from strapline.ground.vocabulary import ALL_ACTIVITIES, Clocks
from strapline.ground.words import bpm, counted, listed, number, plain
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.chart import CLOCKS, Chart
from strapline.telling.charts.picture import Content, by_column
from strapline.telling.charts.places import places

NOTHING = "No two devices could be compared in the same session yet."
SIDES = ("device_a", "device_b")
# Of a bench with more pairs, those that are clearest are drawn.
MOST = 30


def content(tables: ArchiveTables, bench: Sequence[str]) -> Content | None:
    """Of each pair over all activities, the median of sessions and its interval (COMPARISONS), and
    every session (PAIRED). A stands on the left, where differences are below 0: A was closer."""
    found = pairs(tables)
    if not found:
        return None
    shown = found[:MOST]
    devices = sorted({row[side] for row in shown for side in SIDES})
    place = places(devices, bench)
    labels, meaning = starred([plain(tables.labels.get(device, device)) for device in devices])
    called = dict(zip(devices, labels, strict=True))
    rows = [
        {
            "row": at,
            "left": called[row["device_a"]],
            "right": called[row["device_b"]],
            "left_place": place[row["device_a"]],
            "right_place": place[row["device_b"]],
            "place": place[row[_closer(row["difference"])]],
            "said": _said(row),
            "short": f"by {number(abs(row['difference']))}",
            **{end: _hundredth(row[end]) for end in ("difference", "low", "high")},
        }
        for at, row in enumerate(shown)
    ]
    sessions = [
        {"row": at, "difference": _hundredth(each), "place": place[row[_closer(each)]]}
        for at, row in enumerate(shown)
        for each in row["each"]
    ]
    every = [by for row in shown for by in (*row["each"], row["low"], row["high"])]
    reach = max(1.0, *(abs(by) for by in every if not math.isnan(by)))
    left_out = f"The clearest {MOST} of {len(found)} pairs." if len(found) > MOST else ""
    subtitle = (
        "By how much less the one was off than the other, bpm, over all activities. Dot: median "
        "session; bar: its interval, at 95 % for all pairs together; faint: each session; "
        f"{CLOCKS}."
    )
    return Content(
        " ".join(filter(None, [subtitle, left_out, meaning])),
        {"rows": by_column(rows), "sessions": by_column(sessions)},
        {"reach": math.ceil(1.05 * reach)},
    )


def finding(tables: ArchiveTables) -> str:
    """'Lantern watch was closer than Thimble band in 9 of 10 sessions': of the clearest pair or,
    where none is clear, of the one with most sessions."""
    found = pairs(tables)
    if not found:
        return ""
    first = max(found, key=lambda row: (row["clear"], row["clear"] or row["sessions"]))
    n, chance = first["sessions"], "" if first["clear"] else ", which may be chance"
    if n == 1:
        return f"{_who(first, tables)} in the one session of both{chance}"
    share = first["closer"] if _closer(first["difference"]) == "device_a" else 1 - first["closer"]
    return f"{_who(first, tables)} in {share * n:g} of {counted(n, 'session')}{chance}"


def alt(tables: ArchiveTables) -> str:
    """Each pair that is drawn, with the median and its interval."""
    told = [
        f"{_who(row, tables)} {_said(row)} in {counted(row['sessions'], 'session')}"
        for row in pairs(tables)[:MOST]
    ]
    return f"In the median session {listed(told)}." if told else NOTHING


def pairs(tables: ArchiveTables) -> list[dict[str, Any]]:
    """Rows of `compared`, those first that are clear, then by how far apart; `each`: the
    difference in every session."""
    every = _over_all(tables.paired).groupby([*SIDES])["difference"].agg(list)
    found = [
        row | {"each": every.get((row["device_a"], row["device_b"]), [])}
        for row in compared(tables.comparisons)
    ]
    return sorted(found, key=lambda row: (not row["clear"], -abs(row["difference"])))


def compared(comparisons: pd.DataFrame) -> list[dict[str, Any]]:
    """Of a frame under COMPARISONS its rows over all activities; `clear`: apart by more than
    chance."""
    own = _over_all(comparisons).dropna(subset="difference")
    clear = (own["low"] > 0) | (own["high"] < 0)
    rows: list[Any] = own.assign(clear=clear).to_dict("records")
    return rows


def _over_all(table: pd.DataFrame) -> pd.DataFrame:
    own = table[
        (table["metric"] == "mae")
        & (table["alignment"] == Clocks.SETTLED)
        & (table["activity"] == ALL_ACTIVITIES)
    ]
    return own.astype(dict.fromkeys(SIDES, str)).sort_values([*SIDES])


def _closer(difference: float) -> str:
    return "device_b" if difference > 0 else "device_a"


def closer_first(row: dict[str, Any]) -> tuple[str, str]:
    """Both devices."""
    closer, other = SIDES if _closer(row["difference"]) == "device_a" else SIDES[::-1]
    return row[closer], row[other]


def _who(row: dict[str, Any], tables: ArchiveTables) -> str:
    """'Lantern watch was closer than Thimble band'."""
    closer, other = (plain(tables.labels.get(name, name)) for name in closer_first(row))
    return f"{closer} was closer than {other}"


def _said(row: dict[str, Any]) -> str:
    """By how much closer the one is that is: 'by 2.1 bpm (0.3 to 4.0)'."""
    by = f"by {bpm(abs(row['difference']))}"
    if math.isnan(row["low"]) or math.isnan(row["high"]):
        return by
    ends = (row["low"], row["high"]) if row["difference"] > 0 else (-row["high"], -row["low"])
    return f"{by} ({number(ends[0])} to {number(ends[1])})"


def _hundredth(value: float) -> float | None:
    return None if math.isnan(value) else round(value, 2)


HEAD_TO_HEAD = Chart(
    name="head-to-head",
    about="archive",
    section="pairs",
    needs=("comparisons", "paired", "devices"),
    question="How much closer was the one than the other?",
    finding=finding,
    alt=alt,
    content=content,
    told=True,
)
