"""Of a stated colour is that alone: what is of a near colour beside it is no candidate, and where
it touches the curve nothing is read."""

import re

import numpy as np
import pytest
from matplotlib.axes import Axes

from strapline.reading.formats.picture import cautions
from strapline.reading.pictures.curve import curve_in
from strapline.reading.pictures.pixels import pixels_of
from strapline.reading.pictures.unreadable import UnreadablePicture
from strapline.running.commands import main
from unit.pictures.looks import BOTTOM_BPM, TOP_BPM, Look, drawn, invented
from unit.pictures.scoring import off

AREA = (71.5, 59.5, 683.5, 339.5)
RED, STATED = "#c2334d", (0xC2, 0x33, 0x4D)
# A near hue, and a tint.
NEAR = ("#d9534f", "#e38a9b")
TIME_S, RATE = invented()


def beside(axes: Axes, other: np.ndarray, colour: str, **how: object) -> None:
    axes.plot(TIME_S, RATE, lw=1.6, color=RED)
    axes.plot(TIME_S, other, lw=1.6, color=colour, **how)


def read(draw, quality: int | None = None):
    pixels = pixels_of(drawn(Look("two", draw, quality=quality), TIME_S, RATE))
    return curve_in(pixels, AREA, STATED)


OTHERS = {
    "far below": 105 + 15 * np.sin(TIME_S / 160),
    "along it": RATE - 8 + 4 * np.sin(TIME_S / 37),
    "across it": RATE[::-1],
}


@pytest.mark.parametrize("colour", NEAR)
@pytest.mark.parametrize("other", OTHERS)
def test_a_curve_is_read_beside_one_of_a_near_colour(other: str, colour: str) -> None:
    curve = read(lambda axes, time, rate: beside(axes, OTHERS[other], colour))
    apart = np.abs(off(curve, TIME_S, RATE, BOTTOM_BPM, TOP_BPM))
    known = ~np.isnan(apart)
    assert known.mean() >= 0.75
    assert np.mean(apart[known] <= 1) >= 0.99
    assert apart[known].max() <= 2


def test_what_the_stated_colour_does_not_tell_apart_is_not_asked_for_again() -> None:
    with pytest.raises(UnreadablePicture) as told:
        read(lambda axes, time, rate: beside(axes, OTHERS["far below"], RED))
    assert "does not tell them apart" in str(told.value)
    assert "Say the colour" not in str(told.value)


def test_a_marker_that_hides_the_highest_value_is_told() -> None:
    """Of another colour, so that nothing of the curve's is left there."""

    def marked(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
        axes.plot(time, rate, lw=1.6, color=RED)
        highest = int(rate.argmax())
        axes.plot(time[highest], rate[highest], "o", ms=14, color="#3060c0", zorder=3)

    curve = read(marked)
    hidden = np.isnan(curve.rows)
    assert hidden.sum() >= 8
    assert curve.is_unsure[hidden].all()
    assert any("the curve may go higher" in caution for caution in cautions(curve))


def told_of(draw, tmp_path, monkeypatch, capsys) -> str:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "band.png").write_bytes(drawn(Look("one", draw), TIME_S, RATE))
    assert main(["picture", "band.png", "--area", *map(str, AREA)]) == 0
    return capsys.readouterr().out


def test_a_colour_is_suggested_only_where_it_finds_more(tmp_path, monkeypatch, capsys) -> None:
    def with_another(colour: str):
        def draw(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
            axes.plot(time, rate, lw=1.6, color=RED)
            axes.plot(time[900:1250], rate[900:1250] - 40, lw=1.6, color=colour)

        return draw

    near = told_of(with_another(NEAR[0]), tmp_path, monkeypatch, capsys)
    same = told_of(with_another(RED), tmp_path, monkeypatch, capsys)
    for told in (near, same):
        assert "left out because two candidates remained" in told
    (colour, count) = re.findall(r"With --colour '(#\w+)' (\d+) columns are read", near)[0]
    assert colour == RED
    assert int(count) > int(re.findall(r"found in (\d+) of", near)[0])
    assert "--colour" not in same
