"""The report's pages over an archive of any size, made through the tables' contracts."""

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from strapline.ground.report_files import LOOKS, THEME
from strapline.ground.settings import (
    Claims,
    Criteria,
    Equivalence,
    OverAll,
    Palette,
    Presentation,
    Settings,
    Tolerance,
)
from strapline.ground.tables.archive import (
    COMPARISONS,
    DEVICES,
    FINDINGS,
    NOTICES,
    SESSIONS,
)
from strapline.ground.tables.contracts import CONTRACTS
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.method.agreement.standings import standings
from strapline.method.claims.evidence import Policy
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.picture import save_all
from strapline.telling.charts.shown import on_page
from strapline.telling.charts.standings import STANDINGS
from strapline.telling.report import looks
from strapline.telling.report.data import DATA, Held
from strapline.telling.report.device import DEVICE
from strapline.telling.report.method_page import METHOD
from strapline.telling.report.pages import written_by
from strapline.telling.report.site import rendered

VIEWS = ("delay_out", "settled")


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
    archive, look = _archive(sessions, names), Presentation(title=names.title, credit=names.title)
    save_all({STANDINGS.name: STANDINGS.of(archive, [])}, folder)
    settings = json.loads(Settings().model_dump_json())
    parts = tuple(f"from-{names.session}-{number}" for number in range(sessions))
    held = [Held(METRICS, 10**9, parts), *(Held(table, 10**9) for table in CONTRACTS)]
    policy = Policy(Claims(), Criteria(), Equivalence(), Tolerance(), OverAll())
    pictures = on_page(ARCHIVE_CHARTS, folder)
    none = on_page(DEVICE_CHARTS, folder / "none")
    pages = {
        page.file: rendered(page, look, page.context(archive, policy, pictures))
        for page in written_by("site")
        if not page.of_each
    }
    told = METHOD.context(settings, {}, {}, Tolerance(), Criteria())
    pages[METHOD.file] = rendered(METHOD, look, told)
    pages[DATA.file] = rendered(DATA, look, DATA.context(held))
    for name in archive.compared:
        shown = DEVICE.context(DeviceTables(name, archive), policy, none)
        pages[DEVICE.file.format(name)] = rendered(DEVICE, look, shown)
    (folder / "devices").mkdir()
    for name in LOOKS:
        (folder / name).write_bytes(looks.content(name))
    (folder / THEME).write_text(looks.themed(Palette()), "utf-8")
    for file, html in pages.items():
        (folder / file).write_text(html, "utf-8")
    return [folder / file for file in pages]


def _archive(count: int, names: Names) -> ArchiveTables:
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
            # Without it no session counts.
            values["effective_n"] = 60.0
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
    known = [{"device": name, "label": label, "kind": "wrist"} for name, label in labels.items()]
    findings, comparisons = _found(list(labels), [*names.activities, ALL_ACTIVITIES])
    return ArchiveTables(
        sessions=SESSIONS.from_rows(rows),
        whole_sessions=metrics,
        standings=standings(metrics, OverAll()),
        notices=_notices(rows),
        findings=findings,
        comparisons=comparisons,
        devices=DEVICES.from_rows(known),
    )


def _notices(rows: list[dict[str, object]]) -> pd.DataFrame:
    text = "At no offset do the two follow each other closely. The clocks stand."
    said = {"recording": "device-1", "kind": "clock", "text": text}
    return NOTICES.from_rows([{"session": row["session"], **said} for row in rows])


def _found(devices: list[str], activities: list[str]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """FINDINGS and COMPARISONS of which the pages show the most: everything is told, and of every
    verdict some."""
    policy = Policy(Claims(), Criteria(), Equivalence(), Tolerance(), OverAll())
    common = {"alignment": "settled", "sessions": 12, "wearers": 3, "minutes": 540.0}
    statistics = ["bias", "bias_next_session", "limit_lower", "limit_upper", "mape_median"]
    statistics += ["bias_p", "mape_lowest", "mape_highest", *policy.criteria_met, "equivalence"]
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
        | {"people_p_family": 0.01 * place, "pairs": 6, "failed_a": 0, "failed_b": 1}
        | {"sessions_needed": 8, "closer": 0.75, "closer_low": 0.5, "closer_high": 0.9}
        | {"a_left": 7, "a_right": 5, "confounded": False}
        | {"balanced": -1.5, "balanced_low": -2.5, "balanced_high": -0.5}
        | common
        for activity in activities
        for place, a in enumerate(devices)
        for b in devices[place + 1 :]
    ]
    return FINDINGS.from_rows(found), COMPARISONS.from_rows(compared)
