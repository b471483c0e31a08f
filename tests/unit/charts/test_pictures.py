"""What the pictures show, read from the SVG that is published."""

import json
import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from itertools import pairwise

import pandas as pd
import pytest

from strapline.ground.records.alignment import ClockDecision, SessionAlignment
from strapline.ground.settings import Tolerance
from strapline.ground.tables.sessions import EPISODES, OFFSETS
from strapline.method.signal.reference_check import Span
from strapline.telling.charts import render, seconds, theme
from strapline.telling.charts.bland_altman import BLAND_ALTMAN, dots
from strapline.telling.charts.error_by_offset import ERROR_BY_OFFSET, by_offset
from strapline.telling.charts.lanes import Bar, placed
from strapline.telling.charts.seconds import by_second, thinned
from strapline.telling.charts.shown import on_page
from strapline.telling.charts.specification import Specification, read_all, save_all
from strapline.telling.charts.standings import STANDINGS
from strapline.telling.charts.traces import TRACES
from unit.charts.drawings import CREDIT, PALETTE, drawing_of
from unit.charts.full_tables import sentences

FRAMED = theme.Look()
HOSTILE = '<script>alert(1)</script>"&\u202eevil\u200f\x07'

# The error falls to 3 bpm at -7 s, where the clock was set.
OFFSET_TABLE = OFFSETS.from_rows(
    [
        {
            "recording": "watch-0",
            "device": "watch-0",
            "offset_s": offset,
            "mae": 3 + abs(offset + 7) / 10,
            "bias": -2.0,
            "n": 600,
        }
        for offset in range(-60, 61)
    ]
)
CLOCKS = SessionAlignment(
    session="s-1",
    reference="strap",
    clocks=(
        ClockDecision(recording="watch-0", offset_s=-7.2, decision="estimated", reason="Fits."),
    ),
)


@pytest.fixture(scope="module")
def drawn(of_session, of_archive):
    shifted = of_session(offsets=OFFSET_TABLE, clocks=CLOCKS)
    return {
        "traces": TRACES.of(of_session(sentences=sentences()), FRAMED),
        "bland_altman": BLAND_ALTMAN.of(of_session(), FRAMED),
        "standings": STANDINGS.of(of_archive(), FRAMED),
        "error_by_offset": ERROR_BY_OFFSET.of(shifted, FRAMED),
    }


def paths(drawing, **attributes):
    """The d of every path with these attributes."""
    elements = ElementTree.fromstring(drawing).iter("{http://www.w3.org/2000/svg}path")
    return [
        e.get("d")
        for e in elements
        if all(e.get(k.replace("_", "-")) == v for k, v in attributes.items())
    ]


def texts(drawing):
    root = ElementTree.fromstring(drawing)
    return ["".join(e.itertext()) for e in root.iter("{http://www.w3.org/2000/svg}text")]


def test_same_chart_gives_the_same_bytes(drawn):
    for chart in drawn.values():
        drawing = drawing_of(chart)
        assert drawing_of(chart) == drawing
        assert render.pixels(drawing) == render.pixels(drawing)


def test_every_picture_fills_a_video_frame(drawn):
    for chart in drawn.values():
        opening = re.match(r"<svg [^>]*>", drawing_of(chart))[0]
        assert 'width="1920" height="1080"' in opening
        header = render.pixels(drawing_of(chart))[16:24]
        assert header == (1920).to_bytes(4) + (1080).to_bytes(4)


def test_text_is_in_the_bundled_letters_only(drawn):
    for chart in drawn.values():
        families = set(re.findall(r'font-family="([^"]*)"', drawing_of(chart)))
        assert families == {theme.FONT}


def test_picture_bears_title_credit_and_names(drawn):
    said = texts(drawing_of(drawn["traces"]))
    assert drawn["traces"].title in said
    assert CREDIT in said
    assert {"Chest strap", "Watch one", "Watch two"} <= set(said)


def test_lines_break_where_seconds_have_no_value(drawn):
    dash, colour = ",".join(map(str, theme.DASHES[0])), PALETTE.devices[0]
    drawing = drawing_of(drawn["traces"])
    (line,) = paths(drawing, stroke=colour, stroke_dasharray=dash)
    assert line.count("M") == 2  # one gap
    (strip,) = paths(drawing, stroke=colour, stroke_width="2.5")
    assert strip.count("M") == 3  # the gap and the excluded half minute


def test_seconds_absent_from_the_table_break_the_line(aligned, of_session):
    start = aligned["time"].min()
    elapsed = (aligned["time"] - start).dt.total_seconds()
    broken = of_session(aligned=aligned[(elapsed < 200) | (elapsed > 250)])
    drawing = drawing_of(TRACES.of(broken, FRAMED))
    (reference,) = paths(drawing, stroke=PALETTE.reference, stroke_width=f"{theme.REFERENCE_WIDTH}")
    assert reference.count("M") == 2


def test_reference_alone_is_solid_and_devices_differ_without_colour(drawn):
    drawing = drawing_of(drawn["traces"])
    dashes = set(re.findall(r'stroke-dasharray="([^"]*)"', drawing))
    assert len(dashes) == 2
    for line in re.findall(rf'<path [^>]*stroke-width="{theme.REFERENCE_WIDTH}"[^>]*>', drawing):
        assert "dasharray" not in line


def test_tolerance_band_is_the_wider_of_beats_and_percentage(drawn):
    rows = drawn["traces"].spec["datasets"]["seconds"]
    assert rows[0]["above"] == 12 and rows[0]["below"] == -12
    assert min(row["above"] for row in rows) == 10


def test_long_sessions_keep_their_extremes(aligned):
    table = by_second(aligned, ["watch-0", "watch-1"], Tolerance())
    table.loc[333, "rate_1"] = 233.0
    few = thinned(table, 100)
    assert len(few) <= 2 * 100 and few.index.is_unique
    assert few["rate_1"].max() == 233
    assert few["difference_0"].min() == -10


def test_bland_altman_lines_and_labels_are_the_tables(drawn):
    said = texts(drawing_of(drawn["bland_altman"]))
    for label in ("−4.2 bias", "−12.5 lower limit", "+4.0 upper limit"):
        assert said.count(label) == 2
    # Only the bias has an interval.
    assert said.count("−5.0 to −3.5") == 2
    assert sum(" to " in text for text in said) == 2


def test_bland_altman_draws_an_interval_as_a_band(drawn):
    layers = drawn["bland_altman"].spec["vconcat"][0]["hconcat"][0]["layer"]
    bands = [layer["data"]["values"] for layer in layers if layer["mark"]["type"] == "rect"]
    assert bands == [[{"low": -5.0, "high": -3.5}]]


def test_bland_altman_counts_every_compared_second_once(aligned, drawn):
    cells, size = dots(aligned, "watch-0")
    assert size == 2
    assert cells["seconds"].sum() == 600 - 20 - 30
    assert set(cells["difference"]) == {-10}
    circles = paths(drawing_of(drawn["bland_altman"]), fill=PALETTE.devices[0])
    assert len(circles) == len(cells)


def test_standings_draw_a_dot_a_session_and_state_the_mean(drawn):
    drawing = drawing_of(drawn["standings"])
    assert sum(len(paths(drawing, fill=colour)) for colour in PALETTE.devices) == 6
    said = texts(drawing)
    assert {"4.0 bpm", "1.0 bpm", "4.5 bpm"} <= set(said)
    assert {"3 sessions, 2 wearers", "one session, one wearer", "2 sessions, one wearer"} <= set(
        said
    )


def test_alternative_texts_have_the_tables_numbers(drawn):
    assert drawn["traces"].title == "Strength: Watch one low; Watch two low"
    assert drawn["traces"].alt == (
        "Watch one averaged 110.0 bpm. It read low. Watch two averaged 110.0 bpm. It read low."
    )
    assert "Watch two −4.2 bpm on average" in drawn["bland_altman"].alt
    assert "Watch one 3.0 bpm (4 sessions, 2 wearers)" in drawn["standings"].alt


def test_seconds_without_a_value_at_all_still_make_a_picture(aligned, of_session):
    only = of_session(aligned=aligned[aligned["recording"] == "watch-1"])
    said = texts(drawing_of(TRACES.of(only, FRAMED)))
    assert "Watch one" not in said and "Watch two" in said


def test_hostile_names_are_text(of_session, of_archive, build_intake):
    session = of_session(intake=build_intake(HOSTILE, "x" * 300, reference=HOSTILE))
    for chart in (
        TRACES.of(session, FRAMED),
        BLAND_ALTMAN.of(session, FRAMED),
        STANDINGS.of(of_archive((HOSTILE, "x" * 300)), FRAMED),
    ):
        drawing = drawing_of(chart)
        ElementTree.fromstring(drawing)
        assert "<script" not in drawing and "&lt;script" in drawing
        assert not set("\u202e\u200f\x07") & set(drawing)
        assert render.pixels(drawing).startswith(b"\x89PNG")


def test_label_that_looks_like_markup_is_not_rewritten():
    mark = {"type": "text", "text": ' x="1.23456" url(#a) id="b"'}
    chart = Specification({"data": {"values": [{}]}, "mark": mark}, "t", "a")
    assert any('x="1.23456" url(#a) id="b"' in text for text in texts(drawing_of(chart)))


def test_no_specification_holds_a_colour(drawn):
    for chart in drawn.values():
        assert "config" not in chart.spec and "params" not in chart.spec
        assert not re.findall(r'"#[0-9a-fA-F]{3,8}"', chart.source)


def test_page_gets_each_data_set_by_column_and_nothing_that_ends_its_element(drawn, tmp_path):
    charts = {"traces": replace(drawn["traces"], spec=drawn["traces"].spec | {"name": "</script>"})}
    save_all(charts, tmp_path)
    (shown,) = on_page([TRACES], tmp_path)["findings"]
    assert "<" not in shown.content
    spec, rows = json.loads(shown.content), drawn["traces"].spec["datasets"]["seconds"]
    assert spec["name"] == "</script>" and spec["vconcat"] == drawn["traces"].spec["vconcat"]
    columns = spec["datasets"]["seconds"]
    assert [
        dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)
    ] == rows
    assert (shown.title, shown.alt) == (drawn["traces"].title, drawn["traces"].alt)


def test_charts_are_saved_in_a_folder_and_read_from_it(drawn, tmp_path):
    for _ in range(2):
        save_all({"standings": drawn["standings"]}, tmp_path / "charts")
    assert [path.name for path in (tmp_path / "charts").iterdir()] == ["standings.vl.json"]
    assert read_all(tmp_path / "charts") == {"standings": drawn["standings"]}


def test_devices_of_the_bench_keep_their_look():
    bench = ["a", "b", "c"]
    alone = theme.styles(["c"], bench)["c"]
    assert alone == theme.styles(["x", "c", "a"], bench)["c"]
    many = theme.styles([f"d{i}" for i in range(9)])
    assert len({s.place for s in many.values()}) == 9
    few = list(many.values())[: len(theme.DASHES)]
    assert len({s.dash for s in few}) == len({s.shape for s in few}) == len(few)


def test_error_by_offset_says_where_the_error_is_least(drawn, of_session):
    (curve,) = by_offset(of_session(offsets=OFFSET_TABLE, clocks=CLOCKS))
    assert curve.least == (-7, 3)
    assert curve.used == (-7.2, pytest.approx(3))
    assert drawn["error_by_offset"].alt == (
        "At any shift of up to 60 s, Watch one was off by at least 3.0 bpm (shifted by −7.0 s)."
    )
    said = texts(drawing_of(drawn["error_by_offset"]))
    assert "Watch one" in said
    assert "Watch two" not in said


def test_error_by_offset_marks_what_is_left_after_whole_hours(of_session):
    (clock,) = CLOCKS.clocks
    shifted = clock.model_copy(update={"offset_s": 3592.8, "gross_shift_s": 3600.0})
    decided = CLOCKS.model_copy(update={"clocks": (shifted,)})
    (curve,) = by_offset(of_session(offsets=OFFSET_TABLE, clocks=decided))
    assert curve.used == (pytest.approx(-7.2), pytest.approx(3))


def test_seconds_in_which_the_reference_is_doubted_are_hatched(aligned, of_session, drawn):
    doubted = aligned.copy()
    doubted["status"] = doubted["status"].astype(object)
    flat = doubted.groupby("recording", observed=True).cumcount().between(200, 259)
    doubted.loc[flat, "status"] = "reference_flat"
    assert seconds.doubted(doubted) == [Span(200, 260, "no_reference")]
    chart = TRACES.of(of_session(aligned=doubted), FRAMED)
    plain, hatched = (len(re.findall("<line ", drawing_of(c))) for c in (drawn["traces"], chart))
    assert hatched > plain + 10
    rows = {row["s"]: row for row in chart.spec["datasets"]["seconds"]}
    assert rows[230]["reference"] is None and rows[230]["doubted"] is not None
    assert rows[100]["doubted"] is None
    # Both lines have the seconds at which they meet.
    assert rows[199]["reference"] == rows[199]["doubted"]
    drawing = drawing_of(chart)
    (solid,) = paths(drawing, stroke=PALETTE.reference, stroke_width=f"{theme.REFERENCE_WIDTH}")
    assert solid.count("M") == 2
    assert paths(drawing, stroke=PALETTE.reference, stroke_dasharray="3,7")
    assert "hatched: strap in doubt" in " ".join(texts(drawing_of(chart)))


def test_episodes_stand_in_a_lane_each_with_its_name(aligned, of_session):
    spans = [
        ("reads_low", 60, 150),
        ("reads_low", 152, 240),
        ("stuck", 300, 304),
        ("follows_cadence", 310, 500),
    ]
    rows = [
        {
            "session": "s-1",
            "wearer": "w",
            "activity": "strength",
            "device": "watch-0",
            "recording": "watch-0",
            "kind": kind,
            "start": aligned["time"].min() + pd.Timedelta(seconds=start),
            "end": aligned["time"].min() + pd.Timedelta(seconds=end),
            "start_s": start,
            "end_s": end,
            "share": (end - start) / 600,
            "evidence": "told",
            "on_track_after_s": 0,
        }
        for kind, start, end in spans
    ]
    table = EPISODES.from_rows(rows)
    drawing = drawing_of(TRACES.of(of_session(episodes=table), FRAMED))
    said = texts(drawing)
    # Those of one kind that touch are one bar with one name; a short one has its name as well.
    assert [said.count(name) for name in ("low", "stuck", "cadence")] == [1, 1, 1]


def test_names_of_episodes_that_find_no_room_are_those_of_the_shortest():
    found = [Bar(40 * i, 40 * i + (30 if i % 2 else 4), "cadence") for i in range(20)]
    named = placed(found, 800)
    assert 0 < len(named) < 20
    assert all(bar.end - bar.start == 30 for bar in named)
    for one, other in pairwise(named):
        assert one.place + one.wide < other.place
    assert named[-1].place + named[-1].wide <= 800
