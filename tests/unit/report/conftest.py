"""A small archive and one of its sessions, built through the table contracts."""

import pandas as pd
import pytest
from markupsafe import Markup

import intakes
from intakes import recording, strap
from strapline.ground.records.alignment import ClockDecision, SessionAlignment
from strapline.ground.records.card import Segment
from strapline.ground.records.intake import Notice
from strapline.ground.records.ledger import (
    ComparisonLedger,
    MaximumHeartRate,
    RecordingLedger,
    SessionLedger,
    Tally,
)
from strapline.ground.settings import (
    Claims,
    Criteria,
    Equivalence,
    Grounds,
    OverAll,
    Presentation,
    Tolerance,
)
from strapline.ground.tables.archive import (
    COMPARISONS,
    DEVICES,
    FINDINGS,
    FIRMWARE,
    NOTICES,
    SESSIONS,
    STANDINGS,
)
from strapline.ground.tables.sessions import METRICS, SENTENCES
from strapline.ground.vocabulary import ALL_ACTIVITIES, MaximumSource
from strapline.method.claims.evidence import Evidence, Policy
from strapline.method.episodes.conditions import conditions
from strapline.method.episodes.faults import fault_seconds, faults
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.shown import Shown
from strapline.telling.session_tables import SessionTables
from unit.episodes.fault_archives import archive as fault_archive
from unit.episodes.fault_archives import low

FIGURES = {
    "mean_reference": 139.0,
    "mean_device": 107.0,
    "bias": -32.0,
    "bias_percent": -23.02,
    "maximum_reference": 171.4,
    "maximum_device": 160.0,
    "maximum_difference": -11.4,
    "maximum_difference_percent": -6.65,
    "mae": 33.25,
    "within_beats": 30.2,
    "within_percent": 40.8,
    "within_either": 41.5,
    "coverage": 97.5,
    "concordance": 0.123,
}


def framed(table, rows):
    names = {name for row in rows for name in row}
    return table.frame({name: [row.get(name) for row in rows] for name in names})


def metric_rows(session, device, values, alignment="settled", scope="whole"):
    return [
        {
            "session": session,
            "wearer": "w",
            "activity": "strength",
            "device": device,
            "recording": device,
            "scope": scope,
            "alignment": alignment,
            "metric": metric,
            "value": value,
            "ci_low": value - 0.5 if metric == "mae" else None,
            "ci_high": value + 0.5 if metric == "mae" else None,
            "unit": "bpm",
            "n": 100,
        }
        for metric, value in values.items()
    ]


def settled(rows):
    """Rows in the view that claims rest on."""
    return [row | {"alignment": "settled"} for row in rows]


@pytest.fixture
def look():
    return Presentation(credit="Tested at the sample bench")


@pytest.fixture
def tolerance():
    return Tolerance()


@pytest.fixture
def metrics():
    rows = metric_rows("s-1", "watch", FIGURES)
    rows += metric_rows("s-1", "watch", FIGURES | {"mae": 35.0}, "delay_out")
    rows += metric_rows("s-1", "watch", FIGURES | {"mae": 7.75}, scope="segment:Squats")
    rows += metric_rows("s-1", "watch", FIGURES | {"mae": 2.25}, scope="intensity:very_light")
    return framed(METRICS, rows)


@pytest.fixture
def sessions():
    rows = [
        {"session": "s-0", "title": "older", "started_at": pd.Timestamp("2026-01-01", tz="UTC")},
        {"session": "s-1", "title": "newer", "started_at": pd.Timestamp("2026-02-01", tz="UTC")},
        {"session": "s-2", "title": "odd", "set_aside": "No strap among its files."},
    ]
    return framed(
        SESSIONS,
        [
            {"wearer": "w", "activity": "strength", "devices": 1, "clocks_aligned": 1}
            | {"clocks_left": 2}
            | row
            for row in rows
        ],
    )


@pytest.fixture
def standings():
    figures = {"mae": 6.25, "bias": -3.5, "bias_percent": -2.6, "maximum_difference": -4.5}
    figures |= {"maximum_difference_percent": -2.7, "within_beats": 71.4, "within_percent": 88.8}
    figures |= {"delay_rising": 5.1, "delay_falling": 8.9}
    rows = [
        {
            "device": "watch",
            "activity": activity,
            "alignment": view,
            "sessions": 4,
            "as_stated": 0,
            "wearers": 1,
            "minutes": 100.0,
            "metric": metric,
            "unit": "bpm",
            "mean": value,
            "median": value + (1 if metric == "mae" else 0),
        }
        for activity in ("strength", ALL_ACTIVITIES)
        for view in ("delay_out", "settled")
        for metric, value in figures.items()
    ]
    return framed(STANDINGS, rows)


@pytest.fixture
def policy():
    return Policy(Claims(), Criteria(), Equivalence(), Tolerance(), OverAll())


@pytest.fixture
def evidence(policy):
    statistics = {
        "bias": (-3.5, -5.25, -1.75),
        "bias_p": (0.01, None, None),
        "bias_next_session": (-3.5, -9.1, 2.1),
        "limit_lower": (-20.5, -25.2, -17.3),
        "limit_upper": (13.5, 10.4, 18.6),
        "mape_median": (4.2, 3.1, 6.3),
        "mape_lowest": (1.4, None, None),
        "mape_highest": (12.6, None, None),
        "met_mape": (75.0, 30.1, 95.4),
        "equivalence": (-3.2, -4.6, -1.8),
    }
    common = {"sessions": 4, "wearers": 1, "minutes": 100.0}
    found = [
        {"device": "watch", "activity": activity, "statistic": name, "unit": "bpm"}
        | dict(zip(("value", "low", "high"), ends, strict=True))
        | common
        for activity in ("strength", ALL_ACTIVITIES)
        for name, ends in statistics.items()
    ]
    pair = {"device_a": "band", "device_b": "watch", "activity": ALL_ACTIVITIES, "metric": "mae"}
    duel = {"unit": "bpm", "difference": 2.5, "low": -1.1, "high": 6.1, "p": 0.125}
    duel |= {
        "p_family": 0.25,
        "pairs": 1,
        "failed_a": 1,
        "failed_b": 2,
        "sessions_needed": 4,
        "closer": 0.25,
        "closer_low": 0.046,
        "closer_high": 0.699,
    }
    duel |= {"a_left": 4, "a_right": 0, "confounded": True}
    single = {"activity": "strength", "difference": -1.5, "low": -2.5, "high": -0.5}
    single |= {"closer": 0.875, "a_left": 3, "a_right": 1, "confounded": False}
    single |= {"balanced": -1.25, "balanced_low": -2.75, "balanced_high": 0.25}
    versions = {"firmware_before": "1.2", "firmware_after": "2.0"}
    change = {"device": "watch", "activity": ALL_ACTIVITIES, "metric": "mae"}
    change |= {"unit": "bpm", "before": 8.0, "after": 5.5, "change": -2.5, "low": -4.1}
    change |= {"high": -0.9, "p": 0.01, "sessions_before": 4, "sessions_after": 3}
    change |= {"wearers": 1, "minutes": 120.0}
    return Evidence(
        framed(FINDINGS, settled(found)),
        framed(COMPARISONS, settled([pair | duel | common, pair | duel | common | single])),
        framed(FIRMWARE, settled([change | versions])),
        policy,
    )


@pytest.fixture
def fault_tables():
    """FAULTS and CONDITIONS: three runs and three rides with 6 and 12 minutes low an hour, in
    one of which it was missing for 30 s; worn snug in two of each, loose in one."""
    sessions = [
        low(seconds, activity=activity, wearer=wearer)
        for activity, seconds in (("run", 360), ("ride", 720))
        for wearer in ("ada", "ada", "bo")
    ]
    sessions[0]["episodes"].append(("no_value", 3000, 3030, float("nan"), 0))
    episodes, courses = fault_archive(*sessions)
    stated = pd.DataFrame(
        {
            "session": [f"s-{n:03}" for n in range(6)],
            "device": "watch",
            "condition": "strap_c",
            "value": ["snug", "snug", "loose"] * 2,
        }
    )
    least = Grounds(fewest_sessions=2, fewest_wearers=1, fewest_minutes=60)
    judged = fault_seconds(episodes, courses)
    return faults(episodes, courses, 10, OverAll()), conditions(judged, stated, least)


@pytest.fixture
def notices():
    return framed(
        NOTICES,
        [
            {"session": "s-2", "kind": "set_aside", "text": "No strap among its files."},
            {"session": "s-1", "recording": "watch", "kind": "clock", "text": "Moved by 3 s."},
            {"session": "s-1", "kind": "assumed", "text": "Read as UTC."},
        ],
    )


@pytest.fixture
def archive(sessions, metrics, standings, notices, fault_tables, evidence):
    """The archive's record."""
    faults, conditions = fault_tables
    return ArchiveTables(
        sessions=sessions,
        whole_sessions=metrics,
        standings=standings,
        notices=notices,
        faults=faults,
        conditions=conditions,
        findings=evidence.findings,
        comparisons=evidence.comparisons,
        firmware=evidence.firmware,
        devices=named({"watch": "Watch one", "band": "Band two"}),
    )


def told():
    """SENTENCES on the watch: a line, its course, and the same to be read aloud."""
    texts = {
        "line": "Watch one averaged 107.0 bpm against the strap’s 139.0.",
        "course": "It read 23 % low.",
        "finding": "It reached none of the reference’s 3 peaks.",
        "aloud": "Watch one averaged 107 beats a minute.",
    }
    about = {"session": "s-1", "device": "watch", "recording": "watch", "place": 0}
    return SENTENCES.from_rows([about | {"form": f, "text": text} for f, text in texts.items()])


def named(labels):
    """DEVICES of these labels."""
    rows = [{"device": name, "label": label, "kind": "wrist"} for name, label in labels.items()]
    return DEVICES.from_rows(rows)


@pytest.fixture
def of_session(build_intake, metrics, ledger, alignment, tolerance):
    """A session's record, with some of it replaced."""

    def build(intake=None, **changes):
        own = {"metrics": metrics, "ledger": ledger, "clocks": alignment, "sentences": told()}
        own |= changes
        return SessionTables(intake or build_intake(), tolerance, **own)

    return build


@pytest.fixture
def shown():
    """A picture of each chart, or of those named, in its section."""

    def show(charts, *names):
        found = {chart.section: [] for chart in charts}
        for chart in charts:
            if chart.name in names or not names:
                drawn = Markup(f'{{"name":"{chart.name}"}}')
                words = (chart.name, chart.question, "Read it so.", f"{chart.name} & more.")
                told = Shown(*words, drawn, chart.told)
                found[chart.section].append(told)
        return found

    return show


@pytest.fixture
def build_intake():
    def build(label="Watch one", session="s-1", tested=True, file="watch.csv", device="watch"):
        names = {"file": file, "device": device, "label": label}
        watch = recording(**names, placement="left_wrist", sha256="f" * 64)
        return intakes.session(
            *((strap(sha256="f" * 64), watch) if tested else ()),
            name=session,
            title=label,
            activity="strength",
            wearer="w",
            segments=(Segment(start=0, end=60, label="Squats"),),
            conditions={"indoors": True, "note": label},
            notes=label,
            set_aside=None if tested else label,
            notices=(Notice(kind="assumed", text=label),),
        )

    return build


@pytest.fixture
def ledger():
    left_out = {"excluded": 20, "no_device": 10, "reference_flat": 70}
    seconds = Tally(total=600, used=500, left_out=left_out)
    none = Tally(total=0, used=0, left_out={})
    return SessionLedger(
        session="s-1",
        recordings=(
            RecordingLedger(
                recording="watch", samples=seconds, beats=none, usual_s=1, largest_usual_s=1
            ),
        ),
        comparisons=(ComparisonLedger(recording="watch", alignment="settled", seconds=seconds),),
        maximum_heart_rate=MaximumHeartRate(188, MaximumSource.STATED),
    )


@pytest.fixture
def alignment():
    clock = ClockDecision(recording="watch", offset_s=3, decision="estimated", reason="It fits.")
    return SessionAlignment(session="s-1", reference="strap", clocks=(clock,))
