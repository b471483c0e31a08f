"""What the pictures show, read from the SVG that is published."""

import json
import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from strapline.ground.records.alignment import ClockDecision, SessionAlignment
from strapline.ground.settings import Effort, Intervals, Tolerance
from strapline.ground.tables.sessions import ALIGNED, EPISODES, OFFSETS
from strapline.method.agreement.proportional_bias import regression_limits
from strapline.method.metrics.session_metrics import session_metrics
from strapline.telling.charts import seconds
from strapline.telling.charts.bland_altman import BLAND_ALTMAN, dots
from strapline.telling.charts.error_by_offset import ERROR_BY_OFFSET, by_offset
from strapline.telling.charts.font import FONT
from strapline.telling.charts.picture import by_column, by_row, read_all, save_all
from strapline.telling.charts.places import places
from strapline.telling.charts.seconds import by_second, thinned
from strapline.telling.charts.shown import on_page
from strapline.telling.charts.standings import STANDINGS
from strapline.telling.charts.traces import TRACES, summary
from strapline.telling.drawings import render
from strapline.telling.drawings.drawings import every_drawing
from strapline.telling.drawings.frame import ACROSS, UPRIGHT
from strapline.telling.drawings.size import SIZES
from unit.charts.drawings import CREDIT, PALETTE, drawing_of, frame_of, rows
from unit.charts.full_tables import courses, episodes, sentences

pytestmark = pytest.mark.slow

BENCH = ["watch-0", "watch-1"]
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
def shown(of_session, of_archive):
    shifted = of_session(offsets=OFFSET_TABLE, clocks=CLOCKS)
    return {
        TRACES: TRACES.of(of_session(courses=courses(), sentences=sentences()), BENCH),
        BLAND_ALTMAN: BLAND_ALTMAN.of(of_session(), BENCH),
        STANDINGS: STANDINGS.of(of_archive(), BENCH),
        ERROR_BY_OFFSET: ERROR_BY_OFFSET.of(shifted, BENCH),
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
    """Every line of every text."""
    root = ElementTree.fromstring(drawing)
    return [text for e in root.iter("{http://www.w3.org/2000/svg}text") for text in e.itertext()]


def test_same_picture_gives_the_same_bytes(shown):
    for chart, picture in shown.items():
        drawing = frame_of(chart, picture)
        assert frame_of(chart, picture) == drawing
        assert render.pixels(drawing) == render.pixels(drawing)


@pytest.mark.parametrize("frame", [ACROSS, UPRIGHT])
def test_every_picture_fills_its_frame_with_titles_at_the_same_pixels(shown, frame):
    places = set()
    for chart, picture in shown.items():
        drawing = frame_of(chart, picture, frame)
        assert f'<svg xmlns="http://www.w3.org/2000/svg" width="{frame.width}"' in drawing
        header = render.pixels(drawing)[16:24]
        assert header == frame.width.to_bytes(4) + frame.height.to_bytes(4)
        places.add(re.search(r"<text [^>]*>", drawing)[0])
    assert len(places) == 1


def test_text_is_in_the_bundled_letters_only(shown):
    for chart, picture in shown.items():
        families = set(re.findall(r'font-family="([^"]*)"', frame_of(chart, picture)))
        assert families == {FONT}


def test_picture_bears_title_credit_and_names(shown):
    said = texts(frame_of(TRACES, shown[TRACES]))
    assert shown[TRACES].title in said
    assert CREDIT in said
    assert {"Chest strap", "Watch one", "Watch two"} <= set(said)


def test_lines_break_where_seconds_have_no_value(shown):
    drawing = drawing_of(TRACES, shown[TRACES])
    colour = PALETTE.devices[0]
    (line,) = paths(drawing, stroke=colour, stroke_width="1.8")
    assert line.count("M") == 2  # one gap
    (strip,) = paths(drawing, stroke=colour, stroke_width="1.4")
    assert strip.count("M") == 3  # the gap and the excluded half minute


def test_seconds_absent_from_the_table_break_the_line(aligned, of_session):
    start = aligned["time"].min()
    elapsed = (aligned["time"] - start).dt.total_seconds()
    broken = of_session(aligned=aligned[(elapsed < 200) | (elapsed > 250)])
    drawing = drawing_of(TRACES, TRACES.of(broken, BENCH))
    (reference,) = paths(drawing, stroke=PALETTE.reference, stroke_width="5.4")
    assert reference.count("M") == 2


def test_a_dash_means_doubt_and_nothing_else(shown):
    for chart, picture in shown.items():
        for path in re.findall(
            r"<(?:path|line) [^>]*stroke-dasharray[^>]*>", drawing_of(chart, picture)
        ):
            assert f'stroke="{PALETTE.reference}"' in path and chart is TRACES


def test_bands_are_the_beats_and_the_percentage_of_the_strap(shown):
    drawing = drawing_of(TRACES, shown[TRACES])
    values = shown[TRACES].content.values
    assert (values["beats"], values["percent"]) == (5, 10)
    pixels_a_beat = (88 - 14) / (values["highest"] - values["lowest"])
    beats = re.findall(rf'<path [^>]*d="M0,[\d.]+h\d+v([\d.]+)[^>]*fill="{PALETTE.band}"', drawing)
    assert [float(high) for high in beats] == pytest.approx([10 * pixels_a_beat] * 2, abs=0.2)


def test_a_small_difference_is_drawn_small_in_every_session(aligned, of_session):
    close = aligned.assign(device_bpm=aligned["reference_bpm"] + 1)
    values = TRACES.of(of_session(aligned=close), BENCH).content.values
    assert (values["lowest"], values["highest"]) == (-20, 20)


def test_long_sessions_keep_their_extremes(aligned):
    table = by_second(aligned, ["watch-0", "watch-1"])
    table.loc[333, "rate_1"] = 233.0
    few = thinned(pd.concat([table] * 9, ignore_index=True).rename_axis("s"))
    assert len(few) <= 2 * 520 and few.index.is_unique
    assert few["rate_1"].max() == 233
    assert few["difference_0"].min() == -10


def test_what_only_rises_or_falls_is_drawn_so_in_a_long_session():
    rising = np.arange(3000.0)
    few = thinned(pd.DataFrame({"rate_0": rising, "rate_1": -rising}).rename_axis("s"))
    assert len(few) < 3000
    assert few["rate_0"].is_monotonic_increasing and few["rate_1"].is_monotonic_decreasing


def test_bland_altman_lines_and_labels_are_the_tables(shown):
    said = texts(drawing_of(BLAND_ALTMAN, shown[BLAND_ALTMAN]))
    for label in ("−4.2 bias", "−12.5 lower limit", "+4.0 upper limit"):
        assert said.count(label) == 2
    # Only the bias has an interval.
    assert said.count("−5.0 to −3.5") == 2
    assert sum(" to " in text for text in said) == 2


def test_bland_altman_draws_an_interval_as_a_band(shown):
    lines = rows(shown[BLAND_ALTMAN], "dots", "line")
    assert [(row["line"], row["from"], row["to"]) for row in lines if row["from"] is not None] == [
        (-4.25, -5.0, -3.5)
    ] * 2


def test_bland_altman_draws_limits_that_change_with_heart_rate(of_session, aligned, intake):
    """As the limits by regression of Bland & Altman 1999 of the same seconds."""
    random = np.random.default_rng(3)
    spread = 1 + (aligned["reference_bpm"] - 100) / 10
    noisy = aligned["device_bpm"] + spread * random.normal(size=len(aligned))
    changed = aligned.assign(device_bpm=noisy)
    metrics = session_metrics(changed, intake, None, Tolerance(), Intervals(), Effort())
    picture = BLAND_ALTMAN.of(of_session(aligned=changed, metrics=metrics), BENCH)
    corners = rows(picture, "dots", "above")
    assert [row["place"] for row in corners] == [0, 0, 0, 1, 1, 1]
    own = changed[(changed["recording"] == "watch-1") & (changed["status"] == "compared")]
    known = regression_limits(own["reference_bpm"].to_numpy(), own["device_bpm"].to_numpy())
    for row in corners[3:]:
        bias, half = known.bias.at(row["x"]), 1.96 * known.sd_at(row["x"])
        assert (row["below"], row["above"]) == pytest.approx((bias - half, bias + half), abs=0.05)
    assert corners[5]["above"] - corners[5]["below"] > corners[3]["above"] - corners[3]["below"]
    assert "Band: limits that change with heart rate." in picture.content.subtitle
    assert len(paths(drawing_of(BLAND_ALTMAN, picture), fill=PALETTE.band)) == 2


def test_bland_altman_counts_every_compared_second_once(aligned, shown):
    cells, size = dots(aligned, "watch-0")
    assert size == 2
    assert cells["seconds"].sum() == 600 - 20 - 30
    assert set(cells["difference"]) == {-10}
    circles = paths(drawing_of(BLAND_ALTMAN, shown[BLAND_ALTMAN]), fill=PALETTE.devices[0])
    assert len(circles) == len(cells)


def test_standings_draw_a_dot_a_session_and_state_the_mean(shown):
    drawing = drawing_of(STANDINGS, shown[STANDINGS])
    assert sum(len(paths(drawing, fill=colour)) for colour in PALETTE.devices) == 6
    said = texts(drawing)
    assert {"4.0 bpm", "1.0 bpm", "4.5 bpm", "3 sessions", "one session", "2 sessions"} <= set(said)


def test_alternative_texts_have_the_tables_numbers(shown):
    assert shown[TRACES].title == "Strength: Watch two low; Watch one low"
    assert shown[TRACES].alt == (
        "Watch one averaged 110.0 bpm. It read low. Watch two averaged 110.0 bpm. It read low."
    )
    assert "Watch two −4.2 bpm on average" in shown[BLAND_ALTMAN].alt
    assert "Watch one 3.0 bpm (4 sessions, 2 wearers)" in shown[STANDINGS].alt


def test_seconds_without_a_value_at_all_still_make_a_picture(aligned, of_session):
    only = of_session(aligned=aligned[aligned["recording"] == "watch-1"])
    said = texts(drawing_of(TRACES, TRACES.of(only, BENCH)))
    assert "Watch one" not in said and "Watch two" in said


def test_hostile_names_are_text(of_session, of_archive, build_intake):
    session = of_session(intake=build_intake(HOSTILE, "x" * 300, reference=HOSTILE))
    archive = of_archive((HOSTILE, "x" * 300))
    for chart, tables in ((TRACES, session), (BLAND_ALTMAN, session), (STANDINGS, archive)):
        drawing = frame_of(chart, chart.of(tables, BENCH))
        ElementTree.fromstring(drawing)
        assert "<script" not in drawing and "&lt;script" in drawing
        assert not set("\u202e\u200f\x07") & set(drawing)
        assert render.pixels(drawing).startswith(b"\x89PNG")


def test_label_that_looks_like_markup_is_not_rewritten():
    mark = {"type": "text", "text": ' x="1.23456" url(#a) id="b"'}
    drawing = render.drawn({"data": {"values": [{}]}, "mark": mark})
    assert any('x="1.23456" url(#a) id="b"' in text for text in texts(drawing))


def test_neither_half_of_a_picture_holds_a_colour(shown):
    for picture in shown.values():
        assert not re.findall(r'"#[0-9a-fA-F]{3,8}"', picture.source)
    assert not re.findall(r'"#[0-9a-fA-F]{3,8}"', json.dumps(every_drawing()))


def test_rows_by_column_are_the_rows_again():
    faults, seconds = [{"place": 0, "to": 9}], [{"place": 0, "s": 1}, {"place": 1, "s": None}]
    columns = by_column(faults, [], seconds)
    assert columns == {"place": [0, 0, 1], "to": [9], "s": [None, 1, None]}
    assert [
        {name: value for name, value in row.items() if value is not None} for row in by_row(columns)
    ] == [{"place": 0, "to": 9}, {"place": 0, "s": 1}, {"place": 1}]
    assert by_column([], []) == {} and by_row({}) == []


def test_page_gets_the_data_and_nothing_that_ends_its_element(shown, tmp_path):
    content = replace(shown[TRACES].content, values={"headings": {"0": "</script>"}})
    save_all({"traces": replace(shown[TRACES], content=content)}, tmp_path)
    (on,) = on_page([TRACES], tmp_path)["findings"]
    assert "<" not in on.content
    given = json.loads(on.content)
    assert given["values"] == content.values
    assert given["datasets"] == content.datasets
    assert (on.title, on.subtitle, on.alt) == (
        shown[TRACES].title,
        content.subtitle,
        shown[TRACES].alt,
    )


def test_a_picture_of_nothing_is_words_on_its_page(of_session, tmp_path):
    nothing = TRACES.of(of_session(aligned=ALIGNED.empty()), BENCH)
    save_all({"traces": nothing}, tmp_path)
    (on,) = on_page([TRACES], tmp_path)["findings"]
    assert on.content is None and "could be compared" in on.alt
    assert frame_of(TRACES, nothing) is None


def test_pictures_are_saved_in_a_folder_and_read_from_it(shown, tmp_path):
    for _ in range(2):
        save_all({"standings": shown[STANDINGS]}, tmp_path / "charts")
    assert [path.name for path in (tmp_path / "charts").iterdir()] == ["standings.json"]
    assert read_all(tmp_path / "charts") == {"standings": shown[STANDINGS]}


def test_devices_of_the_bench_keep_their_colour():
    bench = ["a", "b", "c"]
    assert places(["c"], bench) == {"c": 2}
    assert places(["x", "c", "a"], bench) == {"x": 1, "c": 2, "a": 0}
    assert sorted(places([f"d{i}" for i in range(9)], bench).values()) == list(range(9))


def test_error_by_offset_says_where_the_error_is_least(shown, of_session):
    (curve,) = by_offset(of_session(offsets=OFFSET_TABLE, clocks=CLOCKS))
    assert curve.least == (-7, 3)
    assert curve.used == (-7.2, pytest.approx(3))
    assert shown[ERROR_BY_OFFSET].alt == (
        "At any shift of up to 60 s, Watch one was off by at least 3.0 bpm (shifted by −7.0 s)."
    )
    assert rows(shown[ERROR_BY_OFFSET], "points", "x") == [{"place": 0, "x": -7.2, "y": 3.0}]
    said = texts(drawing_of(ERROR_BY_OFFSET, shown[ERROR_BY_OFFSET]))
    assert "Watch one" in said
    assert "Watch two" not in said


def test_error_by_offset_marks_what_is_left_after_whole_hours(of_session):
    (clock,) = CLOCKS.clocks
    shifted = clock.model_copy(update={"offset_s": 3592.8, "gross_shift_s": 3600.0})
    decided = CLOCKS.model_copy(update={"clocks": (shifted,)})
    (curve,) = by_offset(of_session(offsets=OFFSET_TABLE, clocks=decided))
    assert curve.used == (pytest.approx(-7.2), pytest.approx(3))


def test_seconds_in_which_the_strap_is_doubted_are_a_grey_block_named_once(aligned, of_session):
    doubted = aligned.copy()
    doubted["status"] = doubted["status"].astype(object)
    count = doubted.groupby("recording", observed=True).cumcount()
    flat = count.between(200, 259) | count.between(400, 419)
    doubted.loc[flat, "status"] = "reference_flat"
    assert seconds.doubted(doubted) == [(200, 260), (400, 420)]
    picture = TRACES.of(of_session(aligned=doubted), BENCH)
    sets = picture.content.datasets
    strap, beside = (dict(zip(*sets[name].values(), strict=True)) for name in ("strap", "doubted"))
    assert strap[230] is None and beside[230] is not None and 100 not in beside
    # Both lines have the seconds at which they meet.
    assert strap[199] == beside[199] and strap[420] == beside[420]
    drawing = drawing_of(TRACES, picture)
    (dashed,) = paths(drawing, stroke=PALETTE.reference, stroke_dasharray="2,3")
    assert dashed.count("M") == 2
    (solid,) = paths(drawing, stroke=PALETTE.reference, stroke_width="5.4")
    assert solid.count("M") == 3
    assert texts(drawing).count("strap in doubt") == 1
    # A block for each of three panels; what the card leaves out is one as well.
    assert len(paths(drawing, fill=PALETTE.ink, opacity="0.12")) == 3 * 3


def test_faults_stand_in_a_lane_from_second_to_second_and_are_counted(aligned, of_session):
    spans = [
        ("reads_low", 60, 150),
        ("reads_low", 152, 240),
        ("stuck", 300, 304),
        ("follows_cadence", 310, 500),
    ]
    table = EPISODES.from_rows(
        [
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
    )
    assert summary(table) == "cadence once, 3 min 10 s; low twice, 2 min 58 s; stuck once, 4 s"
    assert summary(EPISODES.empty()) == "no fault"
    picture = TRACES.of(of_session(episodes=table), BENCH)
    lane = rows(picture, "devices", "to")
    assert [(row["from"], row["to"]) for row in lane] == [(start, end) for _, start, end in spans]
    for size in SIZES:
        bars = paths(drawing_of(TRACES, picture, size), fill=PALETTE.ink, stroke=PALETTE.ink)
        assert len(bars) == len(spans)


def test_a_heading_with_many_kinds_of_faults_says_how_many_more_there_are(aligned, of_session):
    """In no more lines than a phone has room for, and none of them cut."""
    many = episodes(aligned)
    many["end_s"] = many["start_s"] + 1234
    _, *lines = TRACES.of(of_session(episodes=many), BENCH).content.values["headings"]["0"]
    told, _, more = " ".join(lines).rpartition("; ")
    kinds, shown = summary(many[many["device"] == "watch-0"]).split("; "), told.split("; ")
    assert len(kinds) == 6 and len(lines) == 2
    assert shown == kinds[: len(shown)] and more == f"{6 - len(shown)} more"
