"""The page on devices that were worn in the same sessions, pair by pair."""

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from strapline.ground.report_files import PAIRS_PAGE
from strapline.ground.settings import OverAll
from strapline.ground.vocabulary import ALL_ACTIVITIES, ANY_KIND, Clocks, Verdict
from strapline.method.agreement.standings import standings
from strapline.method.agreement.votes import that_count, votes
from strapline.method.claims.evidence import Policy
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.shown import Pictures
from strapline.telling.report.page import Context, Page
from strapline.telling.report.standings import Standing, standing_rows
from strapline.telling.report.verdicts import by_verdict


def context(tables: ArchiveTables, policy: Policy, pictures: Pictures) -> Context:
    """Every pair at each activity, and what each of the two did in the sessions of both."""
    found = pairs(tables.evidence(policy).duel_rows(tables.labels))
    return {
        "tolerance": policy.tolerance,
        "verdicts": by_verdict(overall(found)),
        "pairs": [
            pair | {"standings": together(tables, policy.over_all, *pair["devices"])}
            for pair in found
        ],
        "pictures": pictures,
    }


def together(tables: ArchiveTables, over_all: OverAll, *devices: str) -> list[Standing]:
    """The standings of two devices over the sessions in which both were compared and count."""
    figures = that_count(tables.whole_sessions, tables.placements)
    own = figures[figures["device"].isin(devices) & (figures["alignment"] == Clocks.SETTLED)]
    compared = own[(own["metric"] == "mae") & votes(own)]
    worn = compared.astype({"device": str}).groupby("session", observed=True)["device"].nunique()
    both = worn.index[worn == len(devices)]
    table = standings(own[own["session"].isin(both)], over_all)
    courses = that_count(tables.courses, tables.placements)
    return standing_rows(table, _faults(courses[courses["session"].isin(both)]), tables.labels)


def _faults(courses: pd.DataFrame) -> pd.DataFrame:
    """Of FAULTS, how many each device had at each activity in the sessions of COURSES; those of two
    recordings of a device are averaged, for they are no two sessions."""
    keys = ["device", "activity", "session"]
    of_each = courses.astype(dict.fromkeys(keys, str)).groupby(keys)["faults"].mean()
    groups = of_each.groupby(["device", "activity"])
    counts = pd.DataFrame({"sessions": groups.size(), "episodes": groups.sum()})
    return counts.reset_index().assign(kind=ANY_KIND)


def pairs(duel_rows: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """A pair each, the clearest over all activities first: its `name` in links, both labels, and
    a row over all activities and at each."""
    found: dict[tuple[str, str], list[Mapping[str, Any]]] = {}
    for row in duel_rows:
        found.setdefault((row["device_a"], row["device_b"]), []).append(row)
    told = [
        {
            # With what no device's name has, so that no two pairs have the same.
            "name": f"{a}.{b}",
            "devices": (a, b),
            "labels": (rows[0]["duel"].label_a, rows[0]["duel"].label_b),
            "rows": [_row(row) for row in rows],
        }
        for (a, b), rows in found.items()
    ]
    return sorted(told, key=_clearest)


def overall(found: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The rows over all activities, each with its pair's `name`."""
    return [
        row | {"name": pair["name"]}
        for pair in found
        for row in pair["rows"]
        if row["activity"] == ALL_ACTIVITIES
    ]


def _row(row: Mapping[str, Any]) -> dict[str, Any]:
    """One pair at one activity, told from the side of the device that was closer.

    `left` and `right` count sessions with that device on the left wrist, the other on the right,
    and the other way round; `balanced` is missing where wrists cannot be told apart.
    """
    duel, devices = row["duel"], (row["device_a"], row["device_b"])
    if duel.difference.value > 0:
        duel, devices = duel.turned(), devices[::-1]
    return {
        "activity": row["activity"],
        "verdict": row["claim"].verdict,
        "sentence": row["claim"].sentence,
        "closer": duel.label_a,
        "devices": devices,
        "other": duel.label_b,
        "sessions": duel.ground.sessions,
        "by": duel.difference.turned(),
        "often": f"{duel.closer.value * duel.ground.sessions / 100:g} of {duel.ground.sessions}",
        "balanced": None if duel.confounded else duel.balanced.turned(),
        "left": duel.a_left,
        "right": duel.a_right,
        "p": duel.p,
        "wearers": duel.ground.wearers,
    }


def _clearest(pair: Mapping[str, Any]) -> tuple[Any, ...]:
    overall = [row for row in pair["rows"] if row["activity"] == ALL_ACTIVITIES]
    if not overall:
        return len(Verdict), 0.0, pair["name"]
    return list(Verdict).index(overall[0]["verdict"]), -overall[0]["by"].value, pair["name"]


HEAD_TO_HEAD = Page(
    PAIRS_PAGE, "site", "head_to_head.html", context, word="Head to head", public=True
)
