"""What stands of each device on the first page, its own page and head to head: each figure of an
archive whose figures are known, read back from the page."""

import re
from dataclasses import replace

import pandas as pd
import pytest

from strapline.ground.records.marks import marked_otherwise
from strapline.ground.settings import OverAll
from strapline.ground.tables.archive import PLACEMENTS, SESSIONS, in_session, labels_of
from strapline.ground.tables.editions import KEY_NAMES
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.method.agreement.findings import findings
from strapline.method.agreement.standings import standings
from strapline.method.agreement.votes import that_count
from strapline.method.claims.evidence import Evidence
from strapline.method.episodes.faults import faults
from strapline.method.metrics.comparisons import comparisons
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.report.archive import ARCHIVE
from strapline.telling.report.changes import as_printed
from strapline.telling.report.device import DEVICE
from strapline.telling.report.head_to_head import HEAD_TO_HEAD
from strapline.telling.report.site import rendered
from unit.agreement.archives import archive
from unit.episodes.fault_archives import archive as fault_archive
from unit.report.conftest import named

FIGURES = ("bias", "bias_percent", "maximum_difference", "maximum_difference_percent", "mae")
FIGURES += ("within_beats", "within_percent", "delay_rising", "delay_falling")
# As the caption of the table says them.
SHOWN = {
    "Average, minus strap": ("bias", "bias_percent"),
    "Highest, minus strap": ("maximum_difference", "maximum_difference_percent"),
    "Error, bpm": ("mae",),
    "Within 5 bpm": ("within_beats", "within_percent"),
    "Late at rises, s": ("delay_rising", "delay_falling"),
    "Faults a session": ("faults",),
}


def session(name, device, activity, size, faults):
    figures = {metric: size + place for place, metric in enumerate(FIGURES)}
    return {"session": name, "device": device, "activity": activity, "faults": faults, **figures}


# The watch alone in one more run, far off and with many faults; in one run and the one walk nothing
# but heart rate told the band's clock.
SESSIONS_HELD = [
    session("run-1", "watch", "run", 1.0, 1),
    session("run-1", "band", "run", 3.0, 2),
    session("run-2", "watch", "run", 2.0, 0),
    session("run-2", "band", "run", 5.0, 1),
    session("desk-1", "watch", "desk", 8.0, 3),
    session("desk-1", "band", "desk", 9.0, 4),
    session("run-3", "watch", "run", 60.0, 30),
    session("run-4", "band", "run", 0.5, 0),
    session("run-4", "watch", "run", 2.5, 2),
    session("walk-1", "band", "walk", 0.5, 0),
]
FITTED = {("run-4", "band"), ("walk-1", "band")}


@pytest.fixture
def held(policy):
    rows = [dict(row) for row in SESSIONS_HELD]
    of_each = {(row["session"], row["device"]): row.pop("faults") for row in rows}
    places = [("left_wrist", "watch"), ("right_wrist", "band")]
    placed = PLACEMENTS.from_rows(
        [
            {"session": name, "recording": device, "device": device, "placement": place}
            | {"not_counted": "Only heart rate told." if (name, device) in FITTED else None}
            for name, device in of_each
            for place, of in places
            if of == device
        ]
    )
    beside = [
        row | {"scope": f"beside:{'band' if row['device'] == 'watch' else 'watch'}"}
        for row in rows
        if row["session"] in ("run-1", "run-2", "run-4", "desk-1")
    ]
    coverage = [row | {"coverage": 99.0} for row in rows]
    metrics = archive(*coverage, *beside)
    figures = that_count(metrics, placed).reset_index(drop=True)
    counts = metrics.index.isin(that_count(metrics, placed).index)
    activities = {row["session"]: row["activity"] for row in rows}
    told = [
        {"session": name, "device": device, "activity": activities[name], "judged_s": 3600}
        | {"episodes": [("reads_low", 60 * n, 60 * n + 20, -20.0, 9) for n in range(count)]}
        for (name, device), count in of_each.items()
    ]
    episodes, courses = fault_archive(*told)
    courses = courses.assign(faults=[of_each[key] for key in of_each])
    counted = that_count(episodes, placed), that_count(courses, placed)
    criteria, margins = policy.criteria, policy.equivalence
    found = findings(figures, criteria, margins, OverAll())
    worn = placed.astype({"session": str, "device": str, "placement": str})
    pairs = comparisons(figures, worn, criteria, OverAll())
    evidence = Evidence(found, pairs, ArchiveTables().firmware, policy)
    started = pd.Timestamp("2026-03-01", tz="UTC")
    return ArchiveTables(
        sessions=SESSIONS.from_rows(
            [
                {"session": name, "title": name, "wearer": "ada", "activity": activity}
                | {"started_at": started, "devices": 2, "clocks_aligned": 0, "clocks_left": 0}
                for name, activity in activities.items()
            ]
        ),
        whole_sessions=metrics[metrics["scope"] == "whole"].reset_index(drop=True),
        standings=standings(metrics, OverAll(), counts),
        findings=evidence.findings,
        comparisons=evidence.comparisons,
        faults=faults(*counted, 10, OverAll()),
        placements=placed,
        courses=courses,
        devices=named({"watch": "Watch one", "band": "Band two"}),
    )


def table(page, first, after=""):
    """By the words in its first column, of the first table so headed after some words: by heading,
    the numbers of each cell."""
    page = page[page.index(after) :]
    own = next(t for t in page.split("<table")[1:] if f">{first}</th>" in t).split("</table>")[0]
    heads = [_text(cell) for cell in re.findall(r"<th scope=\"col\".*?</th>", own, re.S)]
    rows, at = {}, ""
    for row in re.findall(r"<tr.*?</tr>", own, re.S):
        cells = re.findall(r"<t[hd].*?</t[hd]>", row, re.S)
        if 'class="group"' in row:
            at = _text(cells[0])
        elif 'class="first"' in row:
            rows[at, _text(cells[0])] = dict(zip(heads, map(_text, cells), strict=True))
    return rows


def _text(markup):
    return " ".join(re.sub(r"<[^>]*>", " ", markup).split())


def numbers(cell):
    return [float(n) for n in re.findall(r"[+-]?\d+(?:\.\d+)?", cell.replace("−", "-"))]


def means(device, *names):
    """Over the sessions of these names, each activity counting alike."""
    own = [r for r in SESSIONS_HELD if r["device"] == device and r["session"] in names]
    frame = pd.DataFrame(own).groupby("activity")[[*FIGURES, "faults"]].mean()
    return frame.mean()


def is_told(row, expected):
    for head, metrics in SHOWN.items():
        given = numbers(row[head])
        # Shares are told to whole percents.
        assert given == pytest.approx([expected[name] for name in metrics], abs=0.51), head


@pytest.fixture
def pages(held, policy, look, shown):
    of_band = DeviceTables("band", held)
    return {
        "first": rendered(ARCHIVE, look, ARCHIVE.context(held, policy, shown(ARCHIVE_CHARTS))),
        "device": rendered(DEVICE, look, DEVICE.context(of_band, policy, shown(DEVICE_CHARTS))),
        "pairs": rendered(
            HEAD_TO_HEAD, look, HEAD_TO_HEAD.context(held, policy, shown(ARCHIVE_CHARTS))
        ),
    }


def test_a_mark_stands_where_it_holds_alone(held, policy, look, shown):
    """One of its runs was read from a picture; nothing at the desk was."""
    mark, label = "(partly read from a picture)", "Watch one (partly read from a picture)"
    at = {"run": ["Watch one (read from a picture)", "Watch one"], "desk": ["Watch one"]}
    own = {"labels_at": [marked_otherwise(label, at), None]}
    devices = named({"watch": label, "band": "Band two"}).assign(**own)
    tables = replace(held, devices=devices)
    page = rendered(ARCHIVE, look, ARCHIVE.context(tables, policy, shown(ARCHIVE_CHARTS)))
    at_each = table(page, "Device", "At each activity")
    assert {key for key in at_each if key[1] == label} == {("Run", label)}
    assert ("Desk", "Watch one") in at_each and ("", label) in table(page, "Device")
    moved = dict.fromkeys(KEY_NAMES, "") | {"place": "metrics", "session": "run-1"}
    moved |= {"device": "watch", "figure": "bias", "unit": "bpm", "before": 1.0, "after": 2.0}
    moved |= {"change": "moved", "why": "why"} | dict.fromkeys(("wording_before", "wording_after"))
    moved |= dict.fromkeys(("low_before", "high_before", "low_after", "high_after"))
    labels = labels_of(devices) | {("watch", in_session("run-1")): "Watch one"}
    (row,) = as_printed([moved], labels, policy.tolerance)
    assert mark not in row.about


ALL_RUNS = ("run-1", "run-2", "run-3", "run-4")
OF_BAND, OF_WATCH = ("run-1", "run-2", "desk-1"), (*ALL_RUNS, "desk-1")


def test_the_first_page_has_each_figure_over_all_and_at_each_activity(pages):
    over_all = table(pages["first"], "Device")
    is_told(over_all["", "Watch one"], means("watch", *OF_WATCH))
    is_told(over_all["", "Band two"], means("band", *OF_BAND))
    assert over_all["", "Band two"]["Sessions"] == "3 one wearer 1 more not counted"
    at_each = table(pages["first"], "Device", "At each activity")
    is_told(at_each["Run", "Watch one"], means("watch", *ALL_RUNS))
    is_told(at_each["Run", "Band two"], means("band", "run-1", "run-2"))
    assert at_each["Run", "Watch one"]["Sessions"] == "4 one wearer"
    assert (
        "All activities: desk and run; walk stands apart, for not every device has"
        in pages["first"]
    )


def test_a_devices_page_has_each_figure(pages):
    rows = table(pages["device"], "Activity")
    is_told(rows["", "All activities"], means("band", *OF_BAND))
    is_told(rows["", "Run"], means("band", "run-1", "run-2"))
    assert rows["", "Walk"]["Sessions"] == "0 1 not counted"
    assert pages["device"].count("not counted over sessions") == 2


def test_head_to_head_has_each_figure_of_the_sessions_of_both_alone(pages):
    rows = table(pages["pairs"], "Device", "What each of the two did")
    is_told(rows["Run", "Watch one"], means("watch", "run-1", "run-2"))
    is_told(rows["Run", "Band two"], means("band", "run-1", "run-2"))
    is_told(rows["All activities", "Watch one"], means("watch", "run-1", "run-2", "desk-1"))
    assert rows["Run", "Watch one"]["Sessions"] == "2 one wearer"


def test_a_page_has_one_bias_of_a_device_at_each_activity_where_they_differ(pages):
    """At the desk they were further off; the walk does not count."""
    band, desk = means("band", "run-1", "run-2")["bias"], means("band", "desk-1")["bias"]
    watch, at_desk = means("watch", *ALL_RUNS)["bias"], means("watch", "desk-1")["bias"]
    text = _text(pages["first"])
    told = f"+{desk:.1f} bpm in one desk session and +{band:.1f} bpm in 2 run sessions"
    assert f"Band two : {told}" in text
    runs = f"+{watch:.1f} bpm in 4 run sessions"
    assert f"Watch one : {runs} and +{at_desk:.1f} bpm in one desk session" in text
    assert f"Band two’s bias was {told}" in _text(pages["device"])
    assert ALL_ACTIVITIES.capitalize() in text
