"""Every picture there is, asked the same questions."""

from dataclasses import fields, replace

import pandas as pd
import pytest

from strapline.ground.records.alignment import ClockDecision, SessionAlignment
from strapline.ground.settings import Tolerance
from strapline.ground.tables.archive import FINDINGS, PLACEMENTS, SESSIONS
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts import theme
from strapline.telling.charts.charts import CHARTS
from strapline.telling.session_tables import SessionTables
from unit.charts.full_tables import bands, episodes, offsets, sentences

LOOKS = [theme.Look(frame=frame) for frame in (theme.WIDE, theme.UPRIGHT)]
EVERY = pytest.mark.parametrize("chart", CHARTS, ids=lambda chart: chart.name)


@pytest.fixture(scope="module")
def session(of_session, aligned, metrics):
    moved = ClockDecision(recording="watch-0", offset_s=-7.2, decision="estimated", reason="Fits.")
    clocks = SessionAlignment(session="s-1", reference="strap", clocks=(moved,))
    known = {"clocks": clocks, "offsets": offsets(), "consequences": bands()}
    delays = metrics[metrics["metric"] == "mae"].assign(metric="delay_rising")
    known["metrics"] = pd.concat([metrics, delays])
    return of_session(episodes=episodes(aligned), sentences=sentences(), **known)


@pytest.fixture(scope="module")
def archive(of_archive):
    worn = {"recording": "watch-0", "device": "watch-0", "placement": "left_wrist"}
    row = {"device": "watch-0", "alignment": "settled", "unit": "bpm", "minutes": 3.0}
    row |= {"activity": ALL_ACTIVITIES, "statistic": "bias", "sessions": 4, "wearers": 2}
    about = {"session": "s-1", "title": "t", "wearer": "w", "activity": "run", "devices": 2}
    about |= {"clocks_aligned": 0, "clocks_left": 0}
    about |= {"started_at": pd.Timestamp("2026-03-01T10:00:00Z")}
    return of_archive(
        findings=FINDINGS.from_rows([row | {"value": -5.0}]),
        placements=PLACEMENTS.from_rows([worn | {"session": "s-1"}]),
        sessions=SESSIONS.from_rows([about]),
    )


@pytest.fixture
def records(chart, session, archive, intake):
    """What the picture is of: a record with something of everything, and one without rows."""
    nothing = ArchiveTables()
    return {
        "session": (session, SessionTables(intake, Tolerance())),
        "archive": (archive, nothing),
        "device": (DeviceTables("watch-0", archive), DeviceTables("watch-0", nothing)),
    }[chart.about]


def with_fields(tables, **changes):
    """A record with some of its tables replaced, or those of the archive it is of."""
    if isinstance(tables, DeviceTables):
        return replace(tables, archive=replace(tables.archive, **changes))
    return replace(tables, **changes)


def table(tables, name):
    return getattr(tables.archive if isinstance(tables, DeviceTables) else tables, name)


def test_each_has_a_name_of_its_own():
    assert len({(chart.about, chart.name) for chart in CHARTS}) == len(CHARTS) >= 12


@EVERY
def test_it_has_a_finding_or_says_why_not(chart, records):
    full, _ = records
    if isinstance(chart.finding, str):
        assert chart.finding.endswith(".") and " " in chart.finding
    else:
        assert chart.finding(full)


@EVERY
@pytest.mark.parametrize("look", LOOKS, ids=["wide", "upright"])
def test_it_draws_what_there_is_and_says_where_there_is_nothing(chart, records, look):
    full, empty = (chart.of(tables, look) for tables in records)
    assert full.title == chart.title(records[0]) and full.title
    assert full.alt == chart.alt(records[0]) and full.alt.endswith(".")
    assert full.alt != empty.alt and "could be compared" in empty.alt
    (said,) = [
        layer["mark"]["text"]
        for panel in empty.spec["vconcat"]
        for layer in panel["layer"]
        if layer["mark"].get("align") == "center"
    ]
    assert " ".join(said) == empty.alt
    assert len(str(full.spec)) > len(str(empty.spec))


@EVERY
def test_it_draws_on_what_it_needs_and_on_nothing_else(chart, records):
    full, empty = records
    drawn = chart.of(full, LOOKS[0])
    needed = {name: table(full, name) for name in chart.needs}
    assert chart.of(with_fields(empty, **needed), LOOKS[0]) == drawn
    for name in chart.needs:
        without = with_fields(full, **{name: table(empty, name)})
        assert chart.of(without, LOOKS[0]) != drawn, name


@EVERY
def test_what_it_needs_are_tables_of_its_record(chart):
    record = SessionTables if chart.about == "session" else ArchiveTables
    assert set(chart.needs) <= {field.name for field in fields(record)}
