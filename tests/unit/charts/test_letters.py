"""Widths of text against Pillow, a general-purpose library that sets letters by FreeType."""

import pytest
from fontTools.ttLib import TTFont
from PIL import ImageFont

from strapline.telling.charts import letters
from strapline.telling.charts.font import font_file


@pytest.mark.parametrize(("style", "bold"), [("Regular", False), ("SemiBold", True)])
def test_every_letter_is_as_wide_as_it_is_set(style, bold):
    path = font_file(style)
    at_em = TTFont(path)["head"].unitsPerEm
    set_letters = ImageFont.truetype(path, at_em, layout_engine=ImageFont.Layout.BASIC)
    for code in TTFont(path).getBestCmap():
        width = letters.width(chr(code), at_em, bold)
        assert width == pytest.approx(set_letters.getlength(chr(code)), abs=1), hex(code)


def test_letters_the_font_lacks_are_taken_as_wide_as_can_be():
    assert letters.width("漢", 30) == 30
    # A combining mark takes no room of its own.
    assert letters.width("漢\u0323", 30) == 30


def test_text_is_cut_only_where_it_does_not_fit():
    assert letters.fitted("Watch", 500, 32) == "Watch"
    cut = letters.fitted("W" * 40, 300, 32, bold=True)
    assert cut.endswith("W…") and letters.width(cut, 32, bold=True) <= 300
    assert letters.width(f"W{cut}", 32, bold=True) > 300


def test_text_is_broken_within_its_room_and_a_number_keeps_its_unit():
    found = letters.broken("Band: a tolerance of 5 bpm or 10 % of it", 210, 32)
    assert " ".join(found) == "Band: a tolerance of 5 bpm or 10 % of it"
    assert all(letters.width(line, 32) <= 210 for line in found)
    assert any("5 bpm" in line for line in found) and any("10 %" in line for line in found)


def test_only_the_last_of_the_lines_allowed_is_cut():
    found = letters.broken("word " * 60, 300, 32, most=2)
    assert len(found) == 2
    assert not found[0].endswith("…") and found[1].endswith("…")
    assert letters.broken("", 300, 32) == [""]
