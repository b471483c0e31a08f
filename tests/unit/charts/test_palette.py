"""Colours on a dark screen: twins of those on paper, as far from it as they are from paper."""

from itertools import combinations

import numpy as np
import pytest

from strapline.ground.colours import contrast
from strapline.ground.settings import Palette
from strapline.telling.charts.places import places
from strapline.telling.drawings.palette import DARK_PAPER, coloured, on_dark

PALETTES = (
    Palette(),
    Palette(devices=("#000000", "#767676", "#0000ff", "#aa0000", "#006600"), band="#ffffff"),
    Palette(paper="#fff8e7", ink="#222222", reference="#554433", band="#eeddcc"),
)


@pytest.mark.parametrize("palette", PALETTES)
def test_each_line_is_as_far_from_dark_paper_as_from_its_own(palette):
    dark = on_dark(palette)
    assert dark.paper == DARK_PAPER
    # The most that there is on this paper, for what is black on white.
    most = contrast("#ffffff", DARK_PAPER)
    for light, twin in zip(palette.devices, dark.devices, strict=True):
        assert contrast(twin, DARK_PAPER) >= min(contrast(light, palette.paper), most) >= 3
    assert contrast(dark.band, DARK_PAPER) >= contrast(palette.band, palette.paper)
    assert contrast(dark.band, DARK_PAPER) < 2


def test_what_a_drawing_lacks_is_each_part_of_the_palette():
    palette = Palette(band="#123456")
    found = coloured(palette)
    told = found["values"] | {"devices": found["config"]["range"]["category"]}
    assert told == palette.model_dump(mode="json")
    assert found["config"]["background"] == palette.paper


# Red, green and blue in linear light as who sees them that lacks a kind of cone altogether.
# Machado GM, Oliveira MM, Fernandes LAF. A physiologically-based model for simulation of color
# vision deficiency. IEEE Trans Vis Comput Graph 2009;15:1291-1298, severity 1. From memory.
SEEN = {
    "all cones": np.eye(3),
    "protanopia": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deuteranopia": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
}
# sRGB under D65 to CIE XYZ, IEC 61966-2-1. From memory.
XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]],
)


def lab(colour, seen):
    """CIE L*a*b*, 1976."""
    parts = np.array([int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)])
    light = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    x, y, z = XYZ @ np.clip(SEEN[seen] @ light, 0, 1) / XYZ.sum(axis=1)
    fx, fy, fz = (np.cbrt(t) if t > (6 / 29) ** 3 else t * 841 / 108 + 4 / 29 for t in (x, y, z))
    return np.array([116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)])


def test_colours_are_those_of_the_standard():
    """White, and red as tables of CIE L*a*b* have it. From memory."""
    assert lab("#ffffff", "all cones") == pytest.approx([100, 0, 0], abs=0.05)
    assert lab("#ff0000", "all cones") == pytest.approx([53.2, 80.1, 67.2], abs=0.2)


SCREENS = pytest.mark.parametrize("palette", [Palette(), on_dark(Palette())], ids=["light", "dark"])
# As many devices as most benches have.
BENCH = 6


@SCREENS
def test_strap_and_the_devices_of_a_bench_are_told_apart_by_everybody(palette):
    assert len(palette.devices) == BENCH
    for one, other in combinations((palette.reference, *palette.devices), 2):
        for seen in SEEN:
            apart = np.linalg.norm(lab(one, seen) - lab(other, seen))
            assert apart >= 20, (one, other, seen, apart)


@SCREENS
def test_strap_and_first_four_devices_are_told_apart_in_grey(palette):
    lightness = sorted(
        lab(colour, "all cones")[0] for colour in (palette.reference, *palette.devices[:4])
    )
    assert min(np.diff(lightness)) >= 10, lightness


@SCREENS
def test_no_device_is_nearly_as_dark_as_the_strap(palette):
    assert min(contrast(palette.reference, colour) for colour in palette.devices) >= 1.3


def test_devices_worn_together_have_colours_of_their_own_on_a_bench_of_many():
    bench = [f"watch-{number}" for number in range(3 * BENCH)]
    for one, other in combinations(bench, 2):
        found = places([one, other], bench)
        assert len({place % BENCH for place in found.values()}) == 2, found
    assert places(bench[:BENCH], bench) == dict(zip(bench, range(BENCH), strict=False))
    assert len(set(places(bench, bench).values())) == len(bench)


@SCREENS
def test_a_name_in_the_colour_of_its_line_can_be_read(palette):
    """Contrast of text by WCAG 2.2, success criterion 1.4.3: 4.5 to 1."""
    for colour in (palette.reference, *palette.devices):
        assert contrast(colour, palette.paper) >= 4.5
