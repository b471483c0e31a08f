"""The page on devices that were worn in the same sessions, pair by pair."""

from collections.abc import Mapping, Sequence
from typing import Any

from strapline.ground.report_files import PAIRS_PAGE
from strapline.ground.settings import OverAll
from strapline.ground.vocabulary import ALL_ACTIVITIES, Clocks, Verdict
from strapline.method.agreement.standings import standings
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
    }


def together(tables: ArchiveTables, over_all: OverAll, *devices: str) -> list[Standing]:
    """The standings of two devices over the sessions in which both were compared."""
    figures = tables.whole_sessions
    own = figures[figures["device"].isin(devices) & (figures["alignment"] == Clocks.SETTLED)]
    compared = own[(own["metric"] == "mae") & own["value"].notna()]
    worn = compared.astype({"device": str}).groupby("session", observed=True)["device"].nunique()
    both = own[own["session"].isin(worn.index[worn == len(devices)])]
    return standing_rows(standings(both, over_all), tables.faults, tables.labels)


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
    duel = row["duel"]
    if duel.difference.value > 0:
        duel = duel.turned()
    return {
        "activity": row["activity"],
        "verdict": row["claim"].verdict,
        "sentence": row["claim"].sentence,
        "closer": duel.label_a,
        "other": duel.label_b,
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
