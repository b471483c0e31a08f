import math

import pandas as pd
import pytest

from strapline.ground import words
from strapline.ground.words import plain
from strapline.telling.report import phrases


@pytest.mark.parametrize(
    ("value", "plus", "text"),
    [
        (-23.02, True, "−23.0"),
        (4.25, True, "+4.2"),
        (-0.04, True, "0.0"),
        (0.04, True, "0.0"),
        (-0.04, False, "0.0"),
        (12, False, "12.0"),
        (math.nan, False, "–"),
        (None, True, "–"),
        (math.inf, False, "–"),
    ],
)
def test_numbers(value, plus, text):
    assert words.number(value, plus) == text


def test_coefficients_near_zero_keep_their_digits():
    assert words.number(0.123, decimals=3) == "0.123"
    assert words.number(-0.0004, decimals=3) == "0.000"


def test_device_without_figures_is_told_so(build_intake):
    (watch,) = build_intake().tested
    assert phrases.not_compared_sentence(watch) == (
        "Watch one (left wrist) could not be compared with the strap in this session."
    )


@pytest.mark.parametrize(
    ("aligned", "left", "text"),
    [
        (7, 49, "7 of 56 clocks could be settled; nothing but heart rate tells the others."),
        (2, 0, "2 of 2 clocks could be settled."),
        (0, 2, "No device’s clock could be settled: nothing but heart rate tells it."),
        (0, 0, ""),
    ],
)
def test_clocks_are_counted(aligned, left, text):
    assert phrases.clocks_sentence(aligned, left) == text


def test_plain_text_moves_nothing_around_it():
    assert plain("a\u202eb\u2066c\u200fd\x00e\ud800f") == "a�b�c�d�e�f"
    assert plain("  two\n lines\u2028 ") == "two lines"
    assert plain("שלום été") == "שלום été"
    assert plain("x" * 300, 40) == "x" * 39 + "…"


def test_offsets_are_told_in_the_tables_numbers():
    curve = pd.DataFrame(
        {"offset_s": [-1.0, 0, 1], "mae": [4.04, 3.5, 9], "bias": [-3.0, -2, -0.5], "n": 3}
    )
    assert phrases.offset_sentences(curve) == [
        "Moving its clock by up to 60 s would bring its error down to 3.5 bpm at best (by 0 s).",
        "Its bias keeps its sign, from −3.0 to −0.5 bpm.",
    ]
    turned = phrases.offset_sentences(curve.assign(bias=[-1.0, 0, 1]))
    assert turned[1] == "Its bias does not keep its sign, from −1.0 to +1.0 bpm."
    assert phrases.offset_sentences(curve.iloc[:0]) == phrases.offset_sentences(None) == []
