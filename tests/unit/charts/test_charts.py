"""Every picture there is, asked the same questions."""

from dataclasses import fields, replace

import altair
import pandas as pd
import pytest
from jsonschema import Draft7Validator

from strapline.ground.records.alignment import ClockDecision, SessionAlignment
from strapline.ground.settings import Tolerance
from strapline.ground.tables.archive import FINDINGS, PLACEMENTS, SESSIONS
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.drawings.drawings import DRAWINGS
from strapline.telling.drawings.size import SIZES
from strapline.telling.publish.published import CHARTS
from strapline.telling.session_tables import SessionTables
from unit.charts.drawings import drawing_of, whole
from unit.charts.full_tables import bands, courses, episodes, offsets, sentences

BENCH = ["watch-0", "watch-1"]
GRAMMAR = Draft7Validator(altair.load_schema())
EVERY = pytest.mark.parametrize("chart", CHARTS, ids=lambda chart: chart.name)


@pytest.fixture(scope="module")
def session(of_session, aligned, metrics):
    moved = ClockDecision(recording="watch-0", offset_s=-7.2, decision="estimated", reason="Fits.")
    clocks = SessionAlignment(session="s-1", reference="strap", clocks=(moved,))
    known = {"clocks": clocks, "offsets": offsets(), "consequences": bands()}
    of_one = (metrics["metric"] == "mae") & (metrics["recording"] == "watch-0")
    delays = metrics[of_one].assign(metric="delay_rising")
    known["metrics"] = pd.concat([metrics, delays])
    return of_session(courses=courses(), episodes=episodes(aligned), sentences=sentences(), **known)


@pytest.fixture(scope="module")
def archive(of_archive, pair_tables):
    worn = {"recording": "watch-0", "device": "watch-0", "placement": "left_wrist"}
    row = {"device": "watch-0", "alignment": "settled", "unit": "bpm", "minutes": 3.0}
    row |= {"activity": ALL_ACTIVITIES, "statistic": "bias", "sessions": 4, "wearers": 2}
    error = row | {"statistic": "mae_mean", "value": 5.0, "low": 3.0, "high": 7.0}
    about = {"session": "s-1", "title": "t", "wearer": "w", "activity": "run", "devices": 2}
    about |= {"clocks_aligned": 0, "clocks_left": 0}
    about |= {"started_at": pd.Timestamp("2026-03-01T10:00:00Z")}
    clear = pair_tables["comparisons"].assign(difference=-2.0, low=-3.0, high=-1.0)
    return of_archive(
        comparisons=clear,
        findings=FINDINGS.from_rows([row | {"value": -5.0}, error]),
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
    assert {chart.name for chart in CHARTS} == DRAWINGS.keys()


@EVERY
def test_it_has_a_finding_or_says_why_not(chart, records):
    full, _ = records
    if isinstance(chart.finding, str):
        assert chart.finding.endswith(".") and " " in chart.finding
    else:
        assert chart.finding(full)


@EVERY
@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_it_draws_what_there_is_and_says_where_there_is_nothing(chart, records, size):
    full, empty = (chart.of(tables, BENCH) for tables in records)
    assert full.title == chart.title(records[0]) and full.title
    assert full.alt == chart.alt(records[0]) and full.alt.endswith(".")
    assert full.alt != empty.alt and "could be compared" in empty.alt
    assert empty.content is None and full.content.subtitle.endswith(".")
    assert drawing_of(chart, full, size).count("<path") > 3


@EVERY
@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_its_drawing_keeps_the_grammar_of_vega_lite(chart, records, size):
    """Against the JSON Schema of Vega-Lite as Altair, a general-purpose library, carries it."""
    GRAMMAR.validate(whole(chart, chart.of(records[0], BENCH), size))


@EVERY
def test_it_shows_what_it_needs_and_nothing_else(chart, records):
    full, empty = records
    shown = chart.of(full, BENCH)
    needed = {name: table(full, name) for name in chart.needs}
    assert chart.of(with_fields(empty, **needed), BENCH) == shown
    for name in chart.needs:
        without = with_fields(full, **{name: table(empty, name)})
        assert chart.of(without, BENCH) != shown, name


@EVERY
def test_what_it_needs_are_tables_of_its_record(chart):
    record = SessionTables if chart.about == "session" else ArchiveTables
    assert set(chart.needs) <= {field.name for field in fields(record)}
