"""What is said of a picture: where its plot is, which side is up, and what of it was not read."""

import argparse
import io
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import yaml
from PIL import Image

from strapline.ground.documents import DocumentError, validated
from strapline.ground.records.card import Card
from strapline.ground.records.picture import Picture, Resolution
from strapline.reading.formats.picture import cautions, not_read
from strapline.reading.pictures.curve import Curve, curve_in
from strapline.reading.pictures.lines import Box, Line
from strapline.reading.pictures.overlay import numbered
from strapline.reading.pictures.pixels import pixels_of
from strapline.reading.pictures.scales import even_boxes
from strapline.reading.pictures.unreadable import UncertainPlot, UnreadablePicture
from strapline.running.commands import picture
from unit.pictures.looks import LOOKS, Look, drawn, invented

TIME_S, RATE = invented()
AREA = (71.5, 59.5, 683.5, 339.5)


def test_a_picture_kept_on_its_side_is_turned_upright() -> None:
    """Orientation 6 is: turn it clockwise to see it (Exif 2.32, 4.6.4)."""
    upright = Image.open(io.BytesIO(drawn(LOOKS[1], TIME_S, RATE)))
    exif = Image.Exif()
    exif[0x0112] = 6
    kept = io.BytesIO()
    upright.transpose(Image.Transpose.ROTATE_90).save(kept, "PNG", exif=exif)
    assert (pixels_of(kept.getvalue()) == np.asarray(upright)).all()


@pytest.mark.parametrize("area", [(130, 60, 131, 300), (100.5, 60, 101.4, 300), (90, 90, 400, 99)])
def test_an_area_too_small_for_a_curve_is_told(area) -> None:
    with pytest.raises(UnreadablePicture, match="at least 20 pixels"):
        curve_in(pixels_of(drawn(LOOKS[1], TIME_S, RATE)), area)


@pytest.mark.parametrize(
    ("area", "colour", "said"),
    [([130, 300, 600, 60], "#c2334d", "bottom more than top"), (None, "redd", "six digits")],
)
def test_a_wrong_area_and_a_wrong_colour_have_their_own_sentence(area, colour, said) -> None:
    options = argparse.Namespace(file="band.png", area=area, colour=colour)
    with pytest.raises(DocumentError) as told:
        picture.run(options)
    assert said in str(told.value)
    assert not ("--area" in str(told.value) and "--colour" in str(told.value))


def test_what_was_not_read_is_said_with_the_reason() -> None:
    fine = Resolution(column_s=2, pixel_bpm=0.5, columns=60, empty=3, doubtful=0, unexplained=2)
    first, second = not_read(fine)
    assert first == "3 columns without a curve"
    assert second.startswith("2 columns left out because something else is drawn there")
    assert fine.read == 55


def test_a_curve_that_leaves_the_stated_area_is_not_read_at_its_edge() -> None:
    pixels = pixels_of(drawn(LOOKS[1], TIME_S, RATE))
    whole, part = curve_in(pixels, AREA), curve_in(pixels, (*AREA[:3], 200.0))
    beyond = whole.rows > 197
    assert beyond.sum() > 20
    assert np.isnan(part.rows[beyond]).all()
    assert part.is_unsure.any()


def level(at: float, start: float = 100, end: float = 600) -> Line:
    return Line(at, start, end, 20.0)


def test_boxes_are_of_evenly_spaced_lines_alone() -> None:
    grid = [level(at) for at in (100, 150, 200, 300)]
    others = [level(50, 20, 640), level(900, 0, 700), level(377)]
    (box,) = even_boxes([*grid, *others], [], tick=12)
    assert (box.x0, box.y0, box.x1, box.y1) == (100, 100, 600, 300)
    assert even_boxes(others, [], tick=12) == []


def bars(axes, time_s, rate) -> None:
    for start in range(0, 1440, 60):
        axes.bar(start + 30, rate[start] - 60, width=36, bottom=60, color="#c2334d")


def test_separate_bars_are_named_as_what_cannot_be_read() -> None:
    pixels = pixels_of(drawn(Look("bars", bars), TIME_S, RATE))
    with pytest.raises(UnreadablePicture, match="bars and dots cannot be read"):
        curve_in(pixels, AREA)


def table(axes, time_s, rate) -> None:
    """Four rows of words between lines."""
    axes.set_axis_off()
    for row in range(5):
        axes.axhline(70 + 25 * row, color="#c9d1da", lw=1.2)
        axes.text(40, 80 + 25 * row, "Average", fontsize=9)
        axes.text(1300, 80 + 25 * row, "148 bpm", fontsize=9)


def test_a_table_is_no_plot_and_rulers_show_where_to_read() -> None:
    pixels = pixels_of(drawn(Look("table", table), TIME_S, RATE))
    with pytest.raises(UncertainPlot) as asked:
        curve_in(pixels)
    assert asked.value.boxes == ()
    shown = pixels_of(numbered(pixels, asked.value.boxes))
    is_ruler = (shown == (0, 110, 220)).all(axis=2)
    assert is_ruler[:, :10].any(axis=1).sum() >= pixels.shape[0] / 10
    assert is_ruler[:10].any(axis=0).sum() >= pixels.shape[1] / 10


def test_the_lines_for_the_card_are_refused_until_they_are_filled_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "band.png").write_bytes(drawn(LOOKS[1], TIME_S, RATE))
    options = argparse.Namespace(
        file=str(tmp_path / "band.png"), area=None, colour=None, results=tmp_path
    )
    assert picture.run(options) == 0
    _, _, lines = capsys.readouterr().out.partition("\n\n")
    with pytest.raises(DocumentError) as told:
        validated({"recordings": yaml.safe_load(lines)}, Card, "session.yaml")
    left, right, bottom, top, starts_at = told.value.mistakes
    assert "'picture.left' is 'time-at-left'; it must be a time such as 12:30" in left
    assert "'picture.right' is 'time-at-right'" in right
    assert "'picture.bottom' is 'bpm-at-bottom'; it should be a number from 0 to 300" in bottom
    assert "'picture.top' is 'bpm-at-top'" in top
    assert "starts_at" in starts_at


def test_the_edge_of_a_picture_is_half_a_pixel_before_the_middle_of_its_first() -> None:
    stated = Picture(left=0, right=900, bottom=60, top=180, area=(-0.5, -0.5, 300, 200))
    assert stated.area == (-0.5, -0.5, 300, 200)


def shown(rows: np.ndarray, is_unsure: np.ndarray) -> Curve:
    columns, none = np.arange(rows.size, dtype=float), np.zeros(rows.size, bool)
    return Curve(Box(0, 0, rows.size - 1, 200), columns, rows, none, is_unsure)


def test_what_is_missing_beside_the_lowest_or_the_highest_value_is_said() -> None:
    rows = 100 + 50 * np.sin(np.arange(400) / 20)
    none = np.zeros(400, bool)
    assert list(cautions(shown(rows, none))) == []
    low, lower = cautions(shown(np.where(rows > 140, np.nan, rows), none))
    assert "its average is lower than that of the rest" in low
    assert "the curve may go lower" in lower
    peak, top = 50 + np.abs(np.arange(400) - 200.0), np.abs(np.arange(400) - 200) < 3
    (high,) = cautions(shown(np.where(top, np.nan, peak), top))
    assert "the curve may go higher" in high
    (spike,) = cautions(replace(shown(rows, none), left_out=(20.0, -math.inf)))
    assert "Beside or above the highest value" in spike
    climb, begin = 150 - np.arange(400) / 4, np.arange(400) < 12
    *_, start = cautions(shown(np.where(begin, np.nan, climb), begin))
    assert "the curve may go lower" in start
    assert "go lower" not in " ".join(cautions(shown(np.where(begin, np.nan, climb), none)))
    even = np.abs(np.arange(400) % 63 - 5) < 2
    assert list(cautions(shown(np.where(even, np.nan, rows), none))) == []
