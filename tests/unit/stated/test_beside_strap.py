"""What an app states of a device without an export, beside the strap; by hand."""

import math

import numpy as np

from strapline.ground.records.stated import Stated
from strapline.method.signal.trace import Trace
from strapline.method.stated.beside_strap import beside_strap

TIME = np.arange(1000.0, 1600.0)
STRAP = Trace(TIME, np.where(TIME < 1300, 120.0, 150.0))


def test_average_and_highest_are_held_against_the_same_time() -> None:
    stated = Stated(average_bpm=125, maximum_bpm=118 + 10, minimum_bpm=60, duration=300)
    held = beside_strap("Band", stated, STRAP, 1000.0)
    assert [one.difference for one in held] == [5, 8]
    assert [one.sentence for one in held] == [
        "As its app states, Band averaged 125 bpm, 5 more than the strap over the same 5 min "
        "(120.0).",
        "As its app states, Band reached 128 bpm, 8 more than the strap’s highest (120).",
    ]


def test_a_start_on_the_card_moves_the_stretch() -> None:
    held = beside_strap("Band", Stated(average_bpm=150, duration=240), STRAP, 1330.0)
    assert held[0].measured == 150
    assert "no more or less than the strap" in held[0].sentence


def test_without_a_duration_all_of_the_strap_counts() -> None:
    held = beside_strap("Band", Stated(average_bpm=135), STRAP, 1000.0)
    assert held[0].measured == 135
    assert "over all the 10 min that the strap has" in held[0].sentence


def test_a_strap_that_is_missing_for_a_part_is_told_and_for_most_is_no_measure() -> None:
    held = beside_strap("Band", Stated(average_bpm=140, duration=720), STRAP, 1000.0)
    assert "over the 10 min of these 12 min that it has" in held[0].sentence
    held = beside_strap("Band", Stated(average_bpm=140, duration=3600), STRAP, 1000.0)
    assert math.isnan(held[0].measured)
    assert held[0].sentence == (
        "What Band’s app states cannot be held against the strap, which can be believed for only "
        "10 min of the 1 h."
    )
