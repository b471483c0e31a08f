"""The report's pages over an archive of any size, made through the tables' contracts."""

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from strapline.ground.settings import (
    Claims,
    Criteria,
    Equivalence,
    Presentation,
    Settings,
    Tolerance,
)
from strapline.ground.tables.archive import (
    COMPARISONS,
    CONDITIONS,
    FAULTS,
    FINDINGS,
    FIRMWARE,
    NOTICES,
    SESSIONS,
)
from strapline.ground.tables.contracts import CONTRACTS
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.method.agreement.standings import standings
from strapline.method.claims.evidence import Evidence, Policy
from strapline.telling.charts.render import pictures, save_all
from strapline.telling.charts.standings import standings as standings_chart
from strapline.telling.report.data import Held
from strapline.telling.report.pages import (
    archive_page,
    data_page,
    device_page,
    head_to_head_page,
    method_page,
    script,
    sessions_page,
    stylesheet,
)
from strapline.telling.report.records import Records

VIEWS = ("as_recorded", "aligned")


@dataclass(frozen=True)
class Names:
    """What everything in the archive is called; the longest are as long as names may be."""

    title: str = "An invented archive"
    session: str = "{date} {activity}"
    devices: tuple[str, ...] = tuple(f"Device {number}" for number in range(1, 9))
    activities: tuple[str, ...] = ("desk", "intervals", "ride", "run", "strength", "walk")
    wearers: tuple[str, ...] = ("ada", "bo", "cy")


UNBROKEN = Names(
    title="W" * 120,
    session="M" * 180,
    devices=tuple(f"{letter}" * 40 for letter in "ABWQ"),
    activities=("w" * 40, "m" * 40),
    wearers=("w" * 40,),
)


def write_report(folder: Path, sessions: int, names: Names) -> list[Path]:
    """Write every page but those of sessions to `folder`, and give their paths."""
    records, look = _records(sessions, names), Presentation(title=names.title, credit=names.title)
    chart = standings_chart(records.metrics, records.standings, look, records.labels)
    save_all({"standings": chart}, folder)
    settings = json.loads(Settings().model_dump_json())
    parts = tuple(f"from-{names.session}-{number}" for number in range(sessions))
    held = [Held(METRICS, 10**9, parts), *(Held(table, 10**9) for table in CONTRACTS)]
    pages = {
        "index": archive_page(records, pictures(folder), look),
        "sessions": sessions_page(records, look),
        "head-to-head": head_to_head_page(records, look),
        "method": method_page(settings, {}, {}, look, Tolerance(), Criteria()),
        "data": data_page(held, look),
    } | {f"devices/{name}": device_page(name, records, [], look) for name in records.devices}
    (folder / "devices").mkdir()
    (folder / "style.css").write_text(stylesheet(), "utf-8")
    (folder / "site.js").write_text(script(), "utf-8")
    for name, html in pages.items():
        (folder / f"{name}.html").write_text(html, "utf-8")
    return [folder / f"{name}.html" for name in pages]


def _records(count: int, names: Names) -> Records:
    random = np.random.default_rng(300)
    labels = {f"device-{place}": label for place, label in enumerate(names.devices, 1)}
    days = pd.date_range("2022-01-03T17:30:00Z", periods=count, freq="3D")
    rows, figures = [], []
    for place, day in enumerate(days):
        who = names.wearers[place % len(names.wearers)]
        what = names.activities[place % len(names.activities)]
        rows.append(
            {
                "session": f"s-{place:04}",
                "title": names.session.format(date=f"{day:%Y-%m-%d}", activity=what),
                "wearer": who,
                "activity": what,
                "started_at": day,
                "minutes": 45.0,
                "reference": "strap",
                "devices": 2,
                "clocks_aligned": 1,
                "clocks_left": 1,
            }
        )
        for device in random.choice(list(labels), 2, replace=False):
            error = random.gamma(2, 2)
            values = {"mae": error, "bias": error - 2, "within_either": 90.0, "coverage": 97.0}
            figures += [
                {
                    "session": f"s-{place:04}",
                    "wearer": who,
                    "activity": what,
                    "device": device,
                    "recording": device,
                    "scope": "whole",
                    "alignment": view,
                    "metric": metric,
                    "value": value,
                    "unit": "bpm",
                    "n": 2700,
                }
                for view in VIEWS
                for metric, value in values.items()
            ]
    metrics = METRICS.from_rows(figures)
    return Records(
        SESSIONS.from_rows(rows),
        metrics,
        standings(metrics),
        _notices(rows),
        FAULTS.empty(),
        CONDITIONS.empty(),
        _evidence(list(labels), [*names.activities, ALL_ACTIVITIES]),
        labels,
    )


def _notices(rows: list[dict[str, object]]) -> pd.DataFrame:
    text = "At no offset do the two follow each other closely. The clocks stand."
    said = {"recording": "device-1", "kind": "clock", "text": text}
    return NOTICES.from_rows([{"session": row["session"], **said} for row in rows])


def _evidence(devices: list[str], activities: list[str]) -> Evidence:
    """Figures of which the pages show the most: everything is told, and of every verdict some."""
    policy = Policy(Claims(), Criteria(), Equivalence(), Tolerance())
    common = {"alignment": "aligned", "sessions": 12, "wearers": 3, "minutes": 540.0}
    statistics = ["bias", "bias_next_session", "limit_lower", "limit_upper", "mape_median"]
    statistics += ["mape_lowest", "mape_highest", *policy.criteria_met, "equivalence"]
    found = [
        {"device": device, "activity": activity, "statistic": statistic, "unit": "bpm"}
        | {"value": 1.5 + place, "low": 0.5 - place, "high": 3.5 + place}
        | common
        for activity in activities
        for place, device in enumerate(devices)
        for statistic in statistics
    ]
    compared = [
        {"device_a": a, "device_b": b, "activity": activity, "metric": "mae", "unit": "bpm"}
        | {"difference": -1.5, "low": -2.5, "high": -0.5, "p": 0.01, "p_family": 0.01 * place}
        | {"sessions_needed": 8, "closer": 0.75, "closer_low": 0.5, "closer_high": 0.9}
        | {"a_left": 7, "a_right": 5, "confounded": False}
        | {"balanced": -1.5, "balanced_low": -2.5, "balanced_high": -0.5}
        | common
        for activity in activities
        for place, a in enumerate(devices)
        for b in devices[place + 1 :]
    ]
    return Evidence(
        FINDINGS.from_rows(found), COMPARISONS.from_rows(compared), FIRMWARE.empty(), policy
    )
