"""The pages of the report: tables in, HTML out."""

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from strapline.ground.records.alignment import SessionAlignment, set_aside
from strapline.ground.records.intake import SessionIntake
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.settings import Criteria, Presentation, Tolerance
from strapline.ground.vocabulary import ALL_ACTIVITIES, NoticeKind
from strapline.ground.words import tolerance_words
from strapline.method.claims.usable import usability
from strapline.method.metrics import registry
from strapline.method.metrics.figures import Figures
from strapline.telling.charts.render import Picture
from strapline.telling.charts.traces import compared
from strapline.telling.report import (
    archive,
    consequences,
    data,
    head_to_head,
    method,
    phrases,
    session,
)
from strapline.telling.report.explorer import explorer
from strapline.telling.report.faults import device_faults
from strapline.telling.report.origin import origins
from strapline.telling.report.records import Records
from strapline.telling.report.site import SCRIPT, STYLESHEET, page, script, stylesheet
from strapline.telling.report.verdicts import by_verdict

__all__ = [
    "SCRIPT",
    "STYLESHEET",
    "archive_page",
    "data_page",
    "device_page",
    "head_to_head_page",
    "method_page",
    "origin_page",
    "script",
    "session_page",
    "sessions_page",
    "stylesheet",
]

# Sessions listed on the first page; the others have a page of their own.
NEWEST = 3

# Shown where the page speaks of the clocks.
CLOCK_PICTURE = "error-by-offset"


def archive_page(records: Records, pictures: Sequence[Picture], presentation: Presentation) -> str:
    """`index.html`: how closely each device follows the strap, and what that rests on.

    `pictures` are the charts of the archive.
    """
    evidence, labels = records.evidence, records.labels
    findings = evidence.finding_rows(labels)
    evident = archive.session_rows(records.sessions, records.metrics, labels)
    return page(
        "archive.html",
        here="index.html",
        presentation=presentation,
        tolerance=tolerance_words(evidence.policy.tolerance),
        lead=archive.lead(records.standings, labels),
        clocks_aligned=archive.clocks_sentence(records.sessions),
        standings=archive.standing_rows(records.standings, labels),
        biases=by_verdict([f for f in findings if f["activity"] == ALL_ACTIVITIES]),
        findings=findings,
        criteria=evidence.policy.criteria_met,
        duels=by_verdict(head_to_head.overall(head_to_head.pairs(evidence.duel_rows(labels)))),
        policy=evidence.policy.claims,
        newest=evident[:NEWEST],
        sessions=len(evident),
        wearers=archive.wearers(records.sessions),
        set_aside=archive.set_aside(records.sessions, records.notices),
        clocks=archive.notice_rows(records.notices, NoticeKind.CLOCK),
        assumed=archive.notice_rows(records.notices, NoticeKind.ASSUMED),
        pictures=pictures,
    )


def sessions_page(records: Records, presentation: Presentation) -> str:
    """`sessions.html`: every session that is evidence, to be searched and sorted."""
    return page(
        "sessions.html",
        here="sessions.html",
        presentation=presentation,
        sessions=archive.session_rows(records.sessions, records.metrics, records.labels),
        wearers=archive.wearers(records.sessions),
    )


def head_to_head_page(records: Records, presentation: Presentation) -> str:
    """`head-to-head.html`: every pair of devices that were worn together, at each activity."""
    pairs = head_to_head.pairs(records.evidence.duel_rows(records.labels))
    return page(
        "head_to_head.html",
        here="head-to-head.html",
        presentation=presentation,
        verdicts=by_verdict(head_to_head.overall(pairs)),
        pairs=pairs,
    )


def method_page(
    settings: Mapping[str, Any],
    meanings: Mapping[str, str],
    fingerprints: Mapping[str, str],
    presentation: Presentation,
    tolerance: Tolerance,
    criteria: Criteria,
) -> str:
    """`method.html`: how every figure is reckoned, under which settings, by which code.

    All `settings` by section; their `meanings` by dotted name; the fingerprint of each stage.
    """
    return page(
        "method.html",
        here="method.html",
        presentation=presentation,
        of_a_session=method.of_a_session(tolerance),
        across_sessions=method.across_sessions(criteria),
        faults=method.faults_looked_for(),
        settings=method.settings_in_force(settings, meanings),
        fingerprints=fingerprints,
    )


def data_page(tables: Sequence[data.Held], presentation: Presentation) -> str:
    """`data.html`: what each of the archive's tables holds, and where it lies."""
    return page(
        "data.html", here="data.html", presentation=presentation, tables=tables, kind=data.kind
    )


def session_page(
    intake: SessionIntake,
    metrics: pd.DataFrame,
    ledger: SessionLedger,
    alignment: SessionAlignment,
    offsets: pd.DataFrame,
    aligned: pd.DataFrame,
    sentences: pd.DataFrame,
    told: pd.DataFrame,
    pictures: Sequence[Picture],
    presentation: Presentation,
    tolerance: Tolerance,
) -> str:
    """`sessions/<session>.html`: what each device did, and where every second went.

    `metrics` are those of this session, `told` keeps CONSEQUENCES; pictures stand in their order,
    and link to files of their name.
    """
    figures = Figures(metrics)
    view = session.headline_view(metrics)
    seconds = aligned[aligned["alignment"] == view]
    return page(
        "session.html",
        here="sessions/",
        root="../",
        presentation=presentation,
        tolerance=tolerance_words(tolerance),
        intake=intake,
        set_aside=set_aside(intake, alignment),
        usable=usability(intake, alignment, ledger),
        metrics=metrics,
        circumstances=phrases.circumstances(intake),
        has_intervals=metrics["ci_low"].notna().any(),
        view=view,
        findings=session.findings(intake, figures, alignment, view, tolerance),
        pictures=[p for p in pictures if p.name not in (CLOCK_PICTURE, consequences.PICTURE)],
        accounts=session.accounts(intake, sentences, ledger, view),
        consequences=consequences.section(told, intake, ledger.maximum_heart_rate, view, pictures),
        explorer=explorer(seconds, intake, tolerance),
        explored=[recording.label for recording in compared(seconds, intake)],
        clock_pictures=[picture for picture in pictures if picture.name == CLOCK_PICTURE],
        main=session.figure_table(
            intake, figures, [m for m in registry.METRICS if m.main], tolerance
        ),
        more=session.figure_table(
            intake, figures, [m for m in registry.METRICS if not m.main], tolerance
        ),
        segments=session.segment_rows(intake, figures, view),
        effort=session.effort_rows(intake, figures, view),
        effort_ground=phrases.effort_sentence(ledger.maximum_heart_rate),
        clocks=session.clock_rows(intake, alignment, offsets),
        reference=session.reference_sentences(alignment),
        sensitivity=session.sensitivity_rows(intake, figures, view),
        compared=session.compared_rows(intake, ledger),
        samples=session.sample_rows(intake, ledger),
        conditions=session.conditions(intake),
        names=session.names(intake),
    )


def origin_page(
    intake: SessionIntake,
    metrics: pd.DataFrame,
    ledger: SessionLedger,
    aligned: pd.DataFrame,
    presentation: Presentation,
    tolerance: Tolerance,
    made_with: str,
) -> str:
    """`sessions/<session>.origin.html`: where every figure of the session's page comes from.

    made_with: in words, by which versions.
    """
    return page(
        "origin.html",
        here="sessions/",
        root="../",
        presentation=presentation,
        intake=intake,
        parts=origins(intake, Figures(metrics), ledger, aligned, tolerance),
        made_with=made_with,
    )


def device_page(
    device: str, records: Records, pictures: Sequence[Picture], presentation: Presentation
) -> str:
    """`devices/<device>.html`: one device at each activity, and all its sessions."""
    own, labels = records.of_device(device), records.labels
    return page(
        "device.html",
        here="devices/",
        root="../",
        presentation=presentation,
        tolerance=tolerance_words(own.policy.tolerance),
        label=labels.get(device, device),
        lead=archive.lead(own.standings, labels),
        standings=archive.standing_rows(own.standings, labels),
        claims=own.evidence.claims_by_activity(labels),
        changes=own.evidence.firmware_claims(labels),
        faults=device_faults(
            device, labels.get(device, device), own.faults, own.conditions, own.policy.claims
        ),
        sessions=archive.own_rows(own.sessions, own.metrics),
        pictures=pictures,
    )
