"""The pages of the report: tables in, HTML out."""

from collections.abc import Mapping, Sequence

import pandas as pd

from strapline.charts.render import Picture
from strapline.charts.traces import compared
from strapline.report import archive, consequences, session, words
from strapline.report.evidence import Evidence
from strapline.report.explorer import explorer
from strapline.report.faults import DeviceFaults
from strapline.report.figures import FIGURES, Figures
from strapline.report.origin import origins
from strapline.report.site import SCRIPT, STYLESHEET, page, script, stylesheet
from strapline.report.words import tolerance_words
from strapline.session.alignment import SessionAlignment, set_aside
from strapline.session.intake import SessionIntake
from strapline.session.ledger import SessionLedger
from strapline.session.usable import usability
from strapline.settings import Presentation, Tolerance

__all__ = [
    "SCRIPT",
    "STYLESHEET",
    "archive_page",
    "device_page",
    "origin_page",
    "script",
    "session_page",
    "stylesheet",
]

# Shown where the page speaks of the clocks.
CLOCK_PICTURE = "error-by-offset"


def archive_page(
    sessions: pd.DataFrame,
    metrics: pd.DataFrame,
    standings: pd.DataFrame,
    notices: pd.DataFrame,
    labels: Mapping[str, str],
    pictures: Sequence[Picture],
    presentation: Presentation,
    tolerance: Tolerance,
    evidence: Evidence,
) -> str:
    """`index.html`: how closely each device follows the strap, and what that rests on.

    `labels` names devices by their id; `pictures` are the charts of the archive.
    """
    return page(
        "archive.html",
        root="",
        presentation=presentation,
        tolerance=tolerance_words(tolerance),
        sentences=archive.sentences(standings, labels),
        standings=archive.standing_rows(standings, labels),
        claims=evidence.bias_claims(labels),
        findings=evidence.finding_rows(labels),
        criteria=evidence.policy.criteria_met,
        duels=evidence.duel_rows(labels),
        policy=evidence.policy.claims,
        sessions=archive.session_rows(sessions, metrics, labels),
        wearers=archive.wearers(sessions),
        set_aside=archive.set_aside(sessions, notices),
        clocks=archive.notice_rows(notices, "clock"),
        assumed=archive.notice_rows(notices, "assumed"),
        pictures=pictures,
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
        root="../",
        presentation=presentation,
        tolerance=tolerance_words(tolerance),
        intake=intake,
        set_aside=set_aside(intake, alignment),
        usable=usability(intake, alignment, ledger),
        metrics=metrics,
        circumstances=words.circumstances(intake),
        has_intervals=metrics["ci_low"].notna().any(),
        view=view,
        findings=session.findings(intake, figures, alignment, view, tolerance),
        pictures=[p for p in pictures if p.name not in (CLOCK_PICTURE, consequences.PICTURE)],
        accounts=session.accounts(intake, sentences),
        consequences=consequences.section(told, intake, ledger.maximum_heart_rate, view, pictures),
        explorer=explorer(seconds, intake, tolerance),
        explored=[recording.label for recording in compared(seconds, intake)],
        clock_pictures=[picture for picture in pictures if picture.name == CLOCK_PICTURE],
        main=session.figure_table(intake, figures, [f for f in FIGURES if f.main], tolerance),
        more=session.figure_table(intake, figures, [f for f in FIGURES if not f.main], tolerance),
        segments=session.segment_rows(intake, figures, view),
        effort=session.effort_rows(intake, figures, view),
        effort_ground=words.effort_sentence(ledger.maximum_heart_rate),
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
) -> str:
    """`sessions/<session>.origin.html`: where every figure of the session's page comes from."""
    return page(
        "origin.html",
        root="../",
        presentation=presentation,
        intake=intake,
        parts=origins(intake, Figures(metrics), ledger, aligned, tolerance),
    )


def device_page(
    device: str,
    label: str,
    sessions: pd.DataFrame,
    metrics: pd.DataFrame,
    standings: pd.DataFrame,
    pictures: Sequence[Picture],
    presentation: Presentation,
    tolerance: Tolerance,
    evidence: Evidence,
    faults: DeviceFaults,
) -> str:
    """`devices/<device>.html`: one device at each activity, and all its sessions."""
    labels = {device: label}
    own = metrics[metrics["device"] == device]
    took_part = sessions[sessions["session"].astype(str).isin(set(own["session"].astype(str)))]
    standing = standings[standings["device"] == device]
    evidence = evidence.of_device(device)
    return page(
        "device.html",
        root="../",
        presentation=presentation,
        tolerance=tolerance_words(tolerance),
        label=label,
        sentences=archive.sentences(standing, labels),
        standings=archive.standing_rows(standing, labels),
        claims=evidence.claims_by_activity(labels),
        changes=evidence.firmware_claims(labels),
        faults=faults,
        sessions=archive.own_rows(took_part, own),
        pictures=pictures,
    )
