"""Colours on a dark screen: twins of those on paper, as far from it as they are from paper."""

import pytest

from strapline.ground.colours import contrast
from strapline.ground.settings import Palette
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
