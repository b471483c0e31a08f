"""The picture of minutes in bands of effort: what is drawn and said is the table's."""

import re
from xml.etree import ElementTree

import pandas as pd
import pytest

from strapline.ground.tables.sessions import CONSEQUENCES
from strapline.method.agreement.effort import EFFORT_BANDS
from strapline.method.consequences.told import Told
from strapline.telling.charts.band_minutes import BAND_MINUTES, bars
from unit.charts.drawings import PALETTE, drawing_of

BENCH = ["watch-0", "watch-1"]
STARTS = (0.0, 107.2, 120.3, 144.8, 180.5)
MINUTES = {
    "watch-0": ((4.0, 1.25, 9.2, 8.6, 0.2), (4.4, 1.0, 9.1, 8.8, 0.0)),
    "watch-1": ((4.0, 1.2, 9.0, 8.4, 0.2), (2.1, 3.1, 6.3, 9.9, 1.4)),
}
WRONG_MINUTES = {"watch-0": 1.15, "watch-1": 7.13}
SVG = "{http://www.w3.org/2000/svg}"


def told(recordings):
    rows = []
    for name in recordings:
        common = {"session": "s-1", "wearer": "w", "activity": "strength", "device": name}
        common |= {"recording": name, "alignment": "settled", "unit": "min", "n": 1380}
        sides = zip(EFFORT_BANDS, STARTS, *MINUTES.get(name, MINUTES["watch-1"]), strict=True)
        for band, start, true, shown in sides:
            values = {"reference_value": true, "device_value": shown, "difference": shown - true}
            rows.append(common | values | {"quantity": f"band:{band}", "from_bpm": start})
        minutes = WRONG_MINUTES.get(name, 1.0)
        wrong = {"reference_value": 0.0, "device_value": minutes, "difference": minutes}
        rows.append(common | wrong | {"quantity": "wrong_band"})
    return CONSEQUENCES.from_rows(rows)


@pytest.fixture(scope="module")
def chart(of_session):
    return BAND_MINUTES.of(of_session(consequences=told(MINUTES)), BENCH)


def texts(drawing):
    found = ElementTree.fromstring(drawing).iter(f"{SVG}text")
    return [text for element in found for text in element.itertext()]


def test_every_bar_says_its_minutes_and_every_band_its_range(chart):
    said = texts(drawing_of(BAND_MINUTES, chart))
    for name in MINUTES:
        for minutes in MINUTES[name]:
            assert {f"{value:.1f}" for value in minutes} <= set(said)
    assert {"Very light", "Light", "Moderate", "Vigorous", "Near maximal"} <= set(said)
    assert {
        "below 57 % of maximum",
        "57 to 64 % of maximum",
        "77 to 96 % of maximum",
        "from 96 % of maximum",
    } <= set(said)
    assert {"Watch one", "Watch two"} <= set(said)


def test_its_title_says_how_long_each_device_was_in_a_wrong_band(chart):
    assert chart.title == (
        "Strength: Watch one in a wrong band for 5 % of the time; Watch two in a wrong band for "
        "31 % of the time"
    )


def bars_of(drawing, colour):
    """Left, top, length and height of each bar of a colour."""
    found = re.findall(
        rf'<path [^>]*d="M([\d.]+),([\d.]+)h([\d.]+)v([\d.]+)[^>]*fill="{colour}"', drawing
    )
    return [tuple(map(float, one)) for one in found]


def test_bars_are_as_long_as_their_minutes(chart):
    drawing = drawing_of(BAND_MINUTES, chart)
    for place, name in enumerate(MINUTES):
        lengths = [length for _, _, length, _ in bars_of(drawing, PALETTE.devices[place])]
        shown = MINUTES[name][1]
        scale = lengths[0] / shown[0]
        assert lengths == pytest.approx([scale * value for value in shown], abs=0.5)


def test_without_colour_the_strap_is_above_the_device(chart):
    drawing = drawing_of(BAND_MINUTES, chart)
    strap = bars_of(drawing, PALETTE.reference)[:5]
    device = bars_of(drawing, PALETTE.devices[0])
    for (_, above, _, high), (_, below, _, _) in zip(strap, device, strict=True):
        assert above + high <= below + 0.1
    assert chart.content.subtitle.endswith("Upper bar: strap; lower: device.")


def test_the_alternative_text_has_the_tables_numbers(chart):
    assert "Watch one 4.4 very light (reference 4.0)" in chart.alt
    assert "Watch two 2.1 very light (reference 4.0), 3.1 light (reference 1.2)" in chart.alt


def test_four_devices_stand_in_two_rows(build_intake, of_session):
    names = [f"watch-{place}" for place in range(4)]
    intake = build_intake(*(f"Watch {name}" for name in "abcd"))
    tables = of_session(intake=intake, consequences=told(names))
    drawing = drawing_of(BAND_MINUTES, BAND_MINUTES.of(tables, BENCH))
    said = texts(drawing)
    assert said.count("Vigorous") == 2
    assert {"Watch a", "Watch d"} <= set(said)


def test_a_device_not_compared_has_no_panel(of_session):
    tables = of_session(consequences=told(["watch-1"]))
    said = texts(drawing_of(BAND_MINUTES, BAND_MINUTES.of(tables, BENCH)))
    assert "Watch two" in said and "Watch one" not in said
    assert bars(Told.of(pd.DataFrame(told(["watch-1"])), "watch-0")) == []


def test_hostile_names_are_text(build_intake, of_session):
    hostile = "<script>alert(1)</script>\u202eevil"
    tables = of_session(intake=build_intake(hostile, "x" * 300), consequences=told(MINUTES))
    drawing = drawing_of(BAND_MINUTES, BAND_MINUTES.of(tables, BENCH))
    ElementTree.fromstring(drawing)
    assert "<script" not in drawing and "\u202e" not in drawing


def test_the_same_table_gives_the_same_bytes(chart, of_session):
    again = BAND_MINUTES.of(of_session(consequences=told(MINUTES)), BENCH)
    assert drawing_of(BAND_MINUTES, again) == drawing_of(BAND_MINUTES, chart)
