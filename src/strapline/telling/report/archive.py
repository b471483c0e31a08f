"""The first page of the report: how closely each device follows the strap; and rows and sentences
for all pages about the archive."""

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import pandas as pd

from strapline.ground.records.marks import starred
from strapline.ground.report_files import ARCHIVE_PAGE
from strapline.ground.vocabulary import (
    ALL_ACTIVITIES,
    UNSTATED,
    Clocks,
    HeldAgainst,
    NoticeKind,
    Scope,
    Verdict,
)
from strapline.method.agreement.possible import WIDEST_BPM
from strapline.method.claims.evidence import Policy
from strapline.method.stated.over_sessions import COUNTS_AS
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.shown import Pictures
from strapline.telling.report import phrases
from strapline.telling.report.apps import marked
from strapline.telling.report.classes import classes, market_words
from strapline.telling.report.head_to_head import overall, pairs
from strapline.telling.report.own_record import Outing, unlike_itself
from strapline.telling.report.page import Context, Page
from strapline.telling.report.standings import leads, over_all_words, standing_rows
from strapline.telling.report.verdicts import by_verdict

# Sessions listed on the first page; the others have a page of their own.
NEWEST = 3

# What a device's page shows of a session: the figure and the view of the clocks, by name.
SHOWN = {
    "mae": ("mae", Clocks.SETTLED),
    "bias": ("bias", Clocks.SETTLED),
    "maximum_difference": ("maximum_difference", Clocks.SETTLED),
    "within_beats": ("within_beats", Clocks.SETTLED),
    "within_percent": ("within_percent", Clocks.SETTLED),
}


def context(tables: ArchiveTables, policy: Policy, pictures: Pictures) -> Context:
    """What the first page shows, and what that rests on."""
    evidence, labels = tables.evidence(policy), tables.labels
    findings = evidence.finding_rows(labels)
    standings = standing_rows(tables.standings, tables.faults, labels)
    over_all = {row.device for row in standings if row.over_all}
    # What is of one activity alone is told there.
    findings = [f for f in findings if f["activity"] != ALL_ACTIVITIES or f["device"] in over_all]
    # Activities that differ are told one by one beside what they are together.
    of_all = over_all - {f["device"] for f in findings if f["verdict"] == Verdict.DEPENDS}
    evident = session_rows(tables)
    return {
        "tolerance": policy.tolerance,
        "leads": leads(standings, evidence.firmwares()),
        "clocks_aligned": clocks_sentence(tables.sessions),
        "standings": standings,
        "over_all": over_all_words(tables.standings, bool(policy.over_all.activities)),
        "biases": by_verdict(
            [f for f in findings if f["activity"] == ALL_ACTIVITIES or f["device"] not in of_all]
        ),
        "findings": findings,
        "widest_bpm": WIDEST_BPM,
        "margin_bpm": policy.equivalence.margin_bpm,
        "bias_words": {
            Verdict.SHOWN: "Shown",
            Verdict.DEPENDS: "It depends on the activity; so far",
            Verdict.BELOW_MARGIN: f"No bias of {policy.equivalence.margin_bpm:g} bpm or more",
            Verdict.NOT_YET: "Too high or too low: not yet known",
        },
        "criteria": policy.criteria_met,
        "duels": by_verdict(overall(pairs(evidence.duel_rows(labels)))),
        "strap": evidence.reference_claims(tables.labels),
        "policy": policy.claims,
        "labels": labels,
        "errors": {row.device: row.error for row in standings if row.over_all},
        "market": market_words(tables.devices),
        "classes": classes(tables.devices, standings),
        "newest": evident[:NEWEST],
        "newest_devices": devices_in(evident[:NEWEST], tables.labels),
        "unlike": list(unlike_itself(_outings(evident[:NEWEST]), standings)),
        "sessions": len(evident),
        "wearers": wearers(tables.sessions),
        "set_aside": set_aside(tables.sessions, tables.notices),
        "clocks": notice_rows(tables.notices, NoticeKind.CLOCK),
        "assumptions": notice_rows(tables.notices, NoticeKind.ASSUMED),
        "pictures": pictures,
    }


def _outings(rows: list[dict[str, Any]]) -> Iterator[Outing]:
    return ((row, device, error) for row in rows for device, _, error in row["devices"])


def clocks_sentence(sessions: pd.DataFrame) -> str:
    """How many of the devices' clocks something settles."""
    aligned, left = int(sessions["clocks_aligned"].sum()), int(sessions["clocks_left"].sum())
    return phrases.clocks_sentence(aligned, left)


def session_rows(tables: ArchiveTables) -> list[dict[str, Any]]:
    """Sessions that are evidence, newest first, with mean absolute errors, also by device; none is
    known of one whose app's figures stand for it."""
    labels, sessions = tables.labels, tables.sessions
    errors, alone = _whole(tables.whole_sessions, "mae"), _stated_alone(tables.stated)
    found = []
    for row in _newest_first(sessions[sessions["set_aside"].isna()]):
        own = errors.get(row["session"], [])
        row["devices"] = [(device, labels.get(device, device), error) for device, _, error in own]
        devices = dict.fromkeys(device for device, _ in alone.get(row["session"], {}))
        row["devices"] += [(name, marked(labels.get(name, name)), math.nan) for name in devices]
        row["errors"] = {}
        for device, _, error in row["devices"]:
            row["errors"].setdefault(device, []).append(error)
        found.append(row)
    return found


def devices_in(
    rows: Iterable[dict[str, Any]], labels: Mapping[Any, str]
) -> tuple[dict[str, str], str]:
    """The devices of these sessions with what they are called over a column, in order of that, and
    what stars there mean."""
    found = {device for row in rows for device in row["errors"]}
    ordered = sorted(found, key=lambda name: (labels.get(name, name), name))
    heads, meaning = starred([labels.get(name, name) for name in ordered])
    return dict(zip(ordered, heads, strict=True)), meaning


def own_rows(tables: ArchiveTables) -> list[dict[str, Any]]:
    """The sessions of a device whose tables these are, newest first, a row a recording, and one
    where its app's figures stand for it."""
    sessions, metrics, stated = tables.sessions, tables.whole_sessions, tables.stated
    placed = tables.placements.astype({"session": str, "recording": str})
    reasons = placed.set_index(["session", "recording"])["not_counted"].dropna()
    alone = _stated_alone(stated)
    figures = {name: _by_recording(metrics, *of) for name, of in SHOWN.items()}
    errors = _whole(metrics, "mae")
    found = []
    for row in _newest_first(sessions):
        for _, recording, _ in errors.get(row["session"], []):
            key = row["session"], recording
            values = {name: known.get(key, math.nan) for name, known in figures.items()}
            found.append(row | values | {"as_stated": False, "not_counted": key in reasons.index})
        for values in alone.get(row["session"], {}).values():
            found.append(
                row
                | dict.fromkeys(SHOWN, math.nan)
                | values
                | {"as_stated": True, "not_counted": False}
            )
    return found


def _stated_alone(stated: pd.DataFrame) -> dict[str, dict[tuple[str, str], dict[str, float]]]:
    """By session, and by device and recording: what apps' figures count as."""
    found: dict[str, dict[tuple[str, str], dict[str, float]]] = {}
    for row in stated[stated["against"] == HeldAgainst.STRAP].to_dict("records"):
        own = found.setdefault(row["session"], {})
        values = own.setdefault((row["device"], row["recording"]), {})
        values[COUNTS_AS[row["figure"]][0]] = row["difference"]
    return found


def wearers(sessions: pd.DataFrame) -> tuple[int, int]:
    """Different stated wearers in the sessions that are evidence, and how many of these sessions
    state none."""
    worn = sessions.loc[sessions["set_aside"].isna(), "wearer"]
    stated = worn != UNSTATED
    return worn[stated].nunique(), int((~stated).sum())


def set_aside(sessions: pd.DataFrame, notices: pd.DataFrame) -> list[dict[str, Any]]:
    """What is no evidence and why, said once even where both tables say it."""
    said = [
        row
        for kind in (NoticeKind.SET_ASIDE, NoticeKind.BROKEN_OFF)
        for row in notice_rows(notices, kind)
    ]
    known = {(row["session"], row["text"]) for row in said}
    whole = sessions[sessions["set_aside"].notna()].astype({"session": str})
    for session, text in zip(whole["session"], whole["set_aside"], strict=True):
        if (session, text) not in known:
            said.append({"session": session, "recording": None, "text": text})
    return said


def notice_rows(notices: pd.DataFrame, kind: str) -> list[dict[str, Any]]:
    own = notices[notices["kind"] == kind]
    return [
        {"session": str(session), "recording": None if pd.isna(name) else name, "text": text}
        for session, name, text in zip(own["session"], own["recording"], own["text"], strict=True)
    ]


def _whole(
    metrics: pd.DataFrame, metric: str, view: str = Clocks.SETTLED
) -> dict[str, list[tuple[str, str, float]]]:
    """By session: device, recording and the figure of the whole session."""
    own = metrics[
        (metrics["metric"] == metric)
        & (metrics["alignment"] == view)
        & (metrics["scope"] == Scope.WHOLE)
    ]
    found: dict[str, list[tuple[str, str, float]]] = {}
    names = own[["session", "device", "recording"]].astype(str).to_numpy().tolist()
    for (session, device, recording), value in zip(names, own["value"].tolist(), strict=True):
        found.setdefault(session, []).append((device, recording, value))
    return found


def _by_recording(metrics: pd.DataFrame, metric: str, view: str) -> dict[tuple[str, str], float]:
    """The figure of the whole session by session and recording."""
    return {
        (session, recording): value
        for session, own in _whole(metrics, metric, view).items()
        for _, recording, value in own
    }


def _newest_first(sessions: pd.DataFrame) -> list[dict[str, Any]]:
    ordered = sessions.sort_values(
        ["started_at", "session"], ascending=[False, True], na_position="last"
    )
    dates = ordered["started_at"].dt.strftime("%Y-%m-%d").fillna("")
    columns = ["session", "title", "activity", "wearer"]
    rows = ordered[columns].astype(str).assign(date=dates.astype(object))
    return [dict(zip(rows.columns, row, strict=True)) for row in rows.to_numpy(object)]


ARCHIVE = Page(ARCHIVE_PAGE, "site", "archive.html", context, word="Archive", public=True)
