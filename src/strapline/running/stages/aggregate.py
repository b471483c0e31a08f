"""Aggregate: every session's tables -> the archive's."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.records.alignment import set_aside
from strapline.ground.records.described import Described, read_described
from strapline.ground.records.intake import Notice, RecordingIntake
from strapline.ground.records.marks import marked_otherwise, over_sessions
from strapline.ground.records.stated import StatedIntake
from strapline.ground.tables import archive
from strapline.ground.tables.sessions import DIFFERENCES, STATED, WHOLE_SESSIONS
from strapline.ground.vocabulary import Clocks, Decision, Faulty, NoticeKind
from strapline.method.agreement.findings import findings
from strapline.method.agreement.possible import possible
from strapline.method.agreement.reference_error import reference_errors
from strapline.method.agreement.seconds_between import seconds_between
from strapline.method.agreement.session_table import worn
from strapline.method.agreement.standings import standings
from strapline.method.agreement.votes import Recorded, left_out
from strapline.method.metrics.comparisons import comparisons, paired
from strapline.method.metrics.firmware import firmware_changes
from strapline.method.stated.over_sessions import apps, counted

if TYPE_CHECKING:
    from strapline.ground.settings import Criteria, Equivalence, OverAll, Plausibility

# Clock decisions that a reader of the first page must know of: those that moved a clock, and those
# that leave nothing to compare. A clock that is left as recorded is no fault.
NOTICE_KINDS: dict[str, NoticeKind] = {
    Decision.CHANNELS: NoticeKind.CLOCK,
    Decision.ESTIMATED: NoticeKind.CLOCK,
    Decision.STEPPING: NoticeKind.SET_ASIDE,
    Decision.COPY: NoticeKind.SET_ASIDE,
}


def run(
    *,
    described: list[str],
    part_whole: list[str],
    part_differences: list[str],
    part_stated: list[str],
    whole_sessions: str,
    standings_table: str,
    apps_table: str,
    findings_table: str,
    comparisons_table: str,
    paired_table: str,
    firmware: str,
    sessions: str,
    placements: str,
    devices: str,
    notices: str,
    left_alone: str,
    market: str,
    criteria: Criteria,
    equivalence: Equivalence,
    plausibility: Plausibility,
    over_all: OverAll,
) -> None:
    """`left_alone`: JSON list of sentences on what in the inbox belongs to no session; `market`:
    by device, what the register says of its form, class and price."""
    known = read_described(described)
    WHOLE_SESSIONS.gather(part_whole, whole_sessions)
    figures = WHOLE_SESSIONS.read(whole_sessions)
    not_counted = left_out(figures, known)
    held = archive.SESSIONS.from_rows([_session(session) for session in known])
    placed = archive.PLACEMENTS.from_rows(list(_placements(known, not_counted)))
    about_inbox = [*json.loads(left_alone), *_never_done(over_all, known)]
    archive.SESSIONS.write(held, sessions)
    archive.PLACEMENTS.write(placed, placements)
    archive.DEVICES.write(_devices(known, json.loads(market)), devices)
    archive.NOTICES.write(_notices(known, about_inbox, not_counted), notices)

    counts, stated = _counts(figures, not_counted), STATED.read(part_stated)
    archive.STANDINGS.write(standings(figures, over_all, counts, counted(stated)), standings_table)
    archive.APPS.write(apps(stated), apps_table)

    # Claims rest on nothing with a delay taken out.
    claimed = figures[(figures["alignment"] == Clocks.SETTLED) & counts].reset_index(drop=True)
    of_devices = [
        possible(findings(claimed, criteria, equivalence, over_all), plausibility),
        seconds_between(claimed, DIFFERENCES.read(part_differences)),
        reference_errors(claimed, held),
    ]
    rules = {"criteria": criteria, "equivalence": equivalence, "over_all": over_all}
    went_by = {name: rule.model_dump() for name, rule in rules.items()}
    archive.FINDINGS.write(archive.FINDINGS.joined(of_devices), findings_table, **went_by)
    where_worn = worn(placed, held)
    compared = comparisons(claimed, where_worn, criteria, over_all)
    archive.COMPARISONS.write(possible(compared, plausibility), comparisons_table)
    archive.PAIRED.write(paired(claimed, where_worn, over_all), paired_table)
    changes = firmware_changes(claimed, where_worn, over_all)
    archive.FIRMWARE.write(possible(changes, plausibility), firmware)


def _counts(figures: pd.DataFrame, not_counted: Mapping[Recorded, str]) -> np.ndarray:
    """Whether each row is of a recording that counts."""
    names = zip(figures["session"].astype(str), figures["recording"].astype(str), strict=True)
    return np.array([name not in not_counted for name in names], dtype=bool)


def _devices(sessions: list[Described], market: Mapping[str, Mapping[str, Any]]) -> pd.DataFrame:
    known: dict[str, list[RecordingIntake | StatedIntake]] = {}
    at: dict[str, dict[str, list[str]]] = {}
    for session in sessions:
        for entry in session.intake.used:
            known.setdefault(entry.device, []).append(entry)
            for place in (session.intake.activity, archive.in_session(session.intake.session)):
                at.setdefault(entry.device, {}).setdefault(place, []).append(entry.label)
    return archive.DEVICES.from_rows(
        [
            {
                "device": device,
                "label": (label := over_sessions([entry.label for entry in known[device]])),
                "labels_at": marked_otherwise(label, at[device]),
                "kind": known[device][-1].device_kind,
                **_on_the_market(market.get(device, {})),
            }
            for device in sorted(known)
        ]
    )


def _on_the_market(said: Mapping[str, Any]) -> dict[str, object]:
    price = said.get("price", {})
    return {
        "form": said.get("form"),
        "class": said.get("own_class"),
        "price": price.get("amount"),
        "currency": price.get("currency"),
        "price_date": price.get("date"),
    }


def _placements(
    sessions: list[Described], not_counted: Mapping[Recorded, str]
) -> Iterator[dict[str, object]]:
    for intake in (session.intake for session in sessions):
        for entry in intake.tested:
            yield {
                "session": intake.session,
                "recording": entry.recording,
                "device": entry.device,
                "placement": entry.placement,
                "firmware": entry.firmware,
                "not_counted": not_counted.get((intake.session, entry.recording)),
            }


def _session(session: Described) -> dict[str, object]:
    intake, alignment = session.intake, session.alignment
    reason = set_aside(intake, alignment)
    minutes = None
    if session.first and session.last:
        minutes = (session.last - session.first).total_seconds() / 60
    return {
        "session": intake.session,
        "title": intake.title,
        "wearer": intake.wearer,
        "activity": intake.activity,
        "started_at": session.first,
        "minutes": minutes,
        "reference": intake.reference.device if intake.reference else None,
        "devices": len(intake.tested) if reason is None else 0,
        "clocks_aligned": alignment.clocks_aligned if reason is None else 0,
        "clocks_left": alignment.clocks_left if reason is None else 0,
        "conditions": json.dumps(intake.conditions, ensure_ascii=False)
        if intake.conditions
        else None,
        "set_aside": reason,
    }


def _never_done(over_all: OverAll, sessions: list[Described]) -> list[str]:
    done = {session.intake.activity for session in sessions}
    return [
        f"over_all.activities in settings.yaml names {activity}, of which there is no session yet."
        for activity in over_all.activities
        if activity not in done
    ]


def _notices(
    sessions: list[Described], left_alone: list[str], not_counted: Mapping[Recorded, str]
) -> pd.DataFrame:
    rows = [("", Notice(kind=NoticeKind.SET_ASIDE, text=sentence)) for sentence in left_alone]
    for session in sessions:
        name = session.intake.session
        rows += [(name, notice) for notice in _notices_of(session, not_counted)]
    return archive.NOTICES.from_rows([{"session": name, **dict(notice)} for name, notice in rows])


def _notices_of(session: Described, not_counted: Mapping[Recorded, str]) -> Iterator[Notice]:
    intake, alignment = session.intake, session.alignment
    yield from intake.notices
    for other in alignment.second_references:
        if other.faulty in (Faulty.FIRST, Faulty.UNCLEAR):
            yield Notice(kind=NoticeKind.CLOCK, text=other.sentence, recording=other.recording)
    for clock in alignment.clocks:
        kind = NOTICE_KINDS.get(clock.decision)
        if kind == NoticeKind.SET_ASIDE or (kind and clock.moves):
            yield Notice(kind=kind, text=clock.reason, recording=clock.recording)
    for entry in intake.tested:
        reason = not_counted.get((intake.session, entry.recording))
        # That heart rate set its clock is told with the clock.
        if reason is not None and entry.recording not in alignment.fitted:
            yield Notice(kind=NoticeKind.SET_ASIDE, text=reason, recording=entry.recording)
