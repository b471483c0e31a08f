"""A small session, built through the table contracts: two devices, ten minutes, gaps."""

import numpy as np
import pandas as pd
import pytest

from intakes import recording, session, strap
from strapline.ground.records.card import Exclusion
from strapline.ground.settings import Tolerance
from strapline.ground.tables.archive import COMPARISONS, DEVICES, PAIRED, STANDINGS
from strapline.ground.tables.sessions import ALIGNED, METRICS
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.session_tables import SessionTables

SECONDS = 600
LIMITS = {
    "bias": -4.25,
    "limit_lower": -12.5,
    "limit_upper": 4.0,
    "mae": 5.5,
    "within_beats": 37.5,
    "within_either": 62.5,
    "absolute_error_p95": 9.5,
}


@pytest.fixture(scope="session")
def build_intake():
    """A session of a strap and devices with the given labels, watch-0, watch-1, …"""

    def build(*labels, reference="Chest strap"):
        tested = [recording(f"watch-{i}", label=label) for i, label in enumerate(labels)]
        moved = Exclusion(start=300, end=330, reason="strap moved")
        worn = (strap(label=reference), *tested)
        return session(*worn, activity="strength", exclude=(moved,))

    return build


@pytest.fixture(scope="session")
def intake(build_intake):
    return build_intake("Watch one", "Watch two")


@pytest.fixture(scope="session")
def aligned():
    """watch-0 reads 10 too low and misses seconds 100 to 119; watch-1 reads 2 too high."""
    return pd.concat([_view("watch-0", -10.0, slice(100, 120)), _view("watch-1", 2.0, slice(0, 0))])


def _view(name, offset, gap):
    reference = 120 + 20 * np.sin(np.arange(SECONDS) / 60)
    device = reference + offset
    device[gap] = np.nan
    status = np.full(SECONDS, "compared", dtype=object)
    status[gap] = "device_missing"
    status[300:330] = "excluded"
    start = pd.Timestamp("2026-03-04T17:00:00", tz="UTC").as_unit("ms")
    return ALIGNED.frame(
        {
            "recording": [name] * SECONDS,
            "device": [name] * SECONDS,
            "alignment": ["settled"] * SECONDS,
            "time": pd.Series(start + pd.to_timedelta(np.arange(SECONDS), unit="s")),
            "reference_bpm": reference,
            "device_bpm": device,
            "status": status,
            "stands_for_s": np.where(np.asarray(status) == "compared", 1.0, 0.0),
        }
    )


def metric_rows(session, activity, device, values):
    return [
        {
            "session": session,
            "wearer": "w",
            "activity": activity,
            "device": device,
            "recording": device,
            "scope": "whole",
            "alignment": "settled",
            "metric": metric,
            "value": value,
            "ci_low": -5.0 if metric == "bias" else None,
            "ci_high": -3.5 if metric == "bias" else None,
            "unit": "bpm",
            "n": 100,
        }
        for metric, value in values.items()
    ]


def framed(table, rows):
    names = {name for row in rows for name in row}
    return table.frame({name: [row.get(name) for row in rows] for name in names})


@pytest.fixture(scope="session")
def metrics():
    rows = [r for d in ("watch-0", "watch-1") for r in metric_rows("s-1", "strength", d, LIMITS)]
    return framed(METRICS, rows)


@pytest.fixture(scope="session")
def archive_metrics():
    """watch-0: 3 sessions of strength, 1 of running; watch-1: 2 of strength."""
    errors = [
        ("s-1", "strength", "watch-0", 2.0),
        ("s-2", "strength", "watch-0", 4.0),
        ("s-3", "strength", "watch-0", 9.0),
        ("s-4", "running", "watch-0", 1.0),
        ("s-1", "strength", "watch-1", 3.0),
        ("s-2", "strength", "watch-1", 6.0),
    ]
    rows = [row for s, a, d, mae in errors for row in metric_rows(s, a, d, {"mae": mae})]
    return framed(METRICS, rows)


@pytest.fixture(scope="session")
def standings_table():
    means = [
        ("watch-0", "strength", 3, 2, 4.0),
        ("watch-0", "running", 1, 1, 1.0),
        ("watch-1", "strength", 2, 1, 4.5),
        ("watch-0", ALL_ACTIVITIES, 4, 2, 3.0),
        ("watch-1", ALL_ACTIVITIES, 2, 1, 4.5),
    ]
    rows = [
        {
            "device": device,
            "activity": activity,
            "alignment": "settled",
            "sessions": sessions,
            "as_stated": 0,
            "wearers": wearers,
            "minutes": 30.0,
            "metric": "mae",
            "unit": "bpm",
            "mean": mean,
            "over_all": activity != ALL_ACTIVITIES,
        }
        for device, activity, sessions, wearers, mean in means
    ]
    return framed(STANDINGS, rows)


@pytest.fixture(scope="session")
def pair_tables():
    """watch-0 and watch-1 in four sessions, watch-1 closer in all but one; and the first of them
    with a third device once."""
    pair = {"activity": ALL_ACTIVITIES, "alignment": "settled", "metric": "mae", "unit": "bpm"}
    counts = {"wearers": 1, "minutes": 90.0, "a_left": 2, "a_right": 2, "confounded": False}
    two, other = ({"device_a": "watch-0", "device_b": b} for b in ("watch-1", "watch-2"))
    compared = [
        two | {"sessions": 4, "difference": 2.5, "low": 0.5, "high": 4.0, "closer": 0.25},
        other | {"sessions": 1, "difference": -7.0, "closer": 1.0},
    ]
    sessions = [two | {"session": f"s-{n}", "difference": d} for n, d in enumerate((4, 2, 3, -1))]
    sessions.append(other | {"session": "s-1", "difference": -7.0})
    return {
        "comparisons": framed(COMPARISONS, [row | pair | counts for row in compared]),
        "paired": framed(PAIRED, [row | pair for row in sessions]),
    }


@pytest.fixture(scope="session")
def of_session(aligned, metrics, intake):
    """The small session's record, with some of it replaced."""

    def build(**changes):
        about = changes.pop("intake", intake)
        return SessionTables(
            about, Tolerance(), **({"aligned": aligned, "metrics": metrics} | changes)
        )

    return build


@pytest.fixture(scope="session")
def of_archive(archive_metrics, standings_table, pair_tables):
    """An archive's record, with some of it replaced."""

    def build(labels=("Watch one", "Watch two"), **changes):
        named = {f"watch-{place}": label for place, label in enumerate(labels)}
        rows = [{"device": name, "label": label, "kind": "wrist"} for name, label in named.items()]
        own = {"whole_sessions": archive_metrics, "standings": standings_table}
        own |= {"devices": DEVICES.from_rows(rows)} | pair_tables
        return ArchiveTables(**(own | changes))

    return build
