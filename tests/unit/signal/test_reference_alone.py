"""Invented heart rates of which it is known who was wrong: the strap, or devices together."""

import numpy as np
import pytest

from strapline.method.signal.reference_alone import alone
from unit.episodes.story import SECONDS

# Four minutes up and four down, between 110 and 150 bpm.
TRUE = 130 + 20 * np.sin(2 * np.pi * SECONDS / 480)
BAD = slice(400, 760)


def late(seconds: int) -> np.ndarray:
    return np.concatenate([np.full(seconds, TRUE[0]), TRUE[:-seconds]])


def bad_strap(low_bpm: float = 45.0) -> np.ndarray:
    strap = TRUE.copy()
    strap[BAD] -= low_bpm
    # Now and then it is right again.
    strap[500:520] += low_bpm
    return strap


@pytest.mark.parametrize("low_bpm", [-40.0, 30.0, 45.0])
def test_a_strap_that_jumps_away_from_devices_that_agree_is_told(low_bpm):
    (found,) = alone(bad_strap(low_bpm), [late(2), late(4), late(8)])
    assert abs(found.start_s - BAD.start) <= 5 and abs(found.end_s - BAD.stop) <= 5
    assert found.away_bpm == pytest.approx(low_bpm, abs=4) and found.spread_bpm <= 3


def test_a_strap_that_is_lost_at_an_end_is_told():
    strap = bad_strap()
    strap[BAD.stop - 10 : BAD.stop + 10] = np.nan
    (found,) = alone(strap, [late(2), late(4)])
    assert abs(found.end_s - (BAD.stop - 10)) <= 5


@pytest.mark.parametrize("bad", [slice(0, 360), slice(700, None)])
def test_a_strap_that_is_wrong_from_the_start_or_to_the_end_is_told(bad):
    strap = TRUE.copy()
    strap[bad] -= 35
    (found,) = alone(strap, [late(2), late(4)])
    start, end, _ = bad.indices(TRUE.size)
    assert abs(found.start_s - start) <= 5 and abs(found.end_s - end) <= 5


def dropped(start: int, end: int, share: float) -> np.ndarray:
    device = TRUE.copy()
    device[start:end] *= share
    return device


FALLS = np.where(SECONDS % 240 < 120, 160.0, 110.0)
STUCK = np.full(TRUE.size, 112.0)
SPRINT = np.where((SECONDS > 300) & (SECONDS < 700), 150.0, 130.0)
CADENCE = np.where((SECONDS > 300) & (SECONDS < 700), 170.0, TRUE)


@pytest.mark.parametrize(
    ("strap", "devices"),
    [
        pytest.param(TRUE, [late(2), late(4)], id="all are right"),
        pytest.param(TRUE, [0.75 * TRUE, 0.77 * TRUE], id="both are low by a share"),
        pytest.param(TRUE, [dropped(400, 700, 0.7), dropped(402, 704, 0.72)], id="both drop"),
        pytest.param(TRUE, [dropped(0, 60, 0.7), dropped(0, 62, 0.7)], id="both find it late"),
        pytest.param(TRUE, [dropped(900, 1200, 0.7)] * 2, id="both are low to the end"),
        pytest.param(TRUE, [STUCK, STUCK + 1], id="both are stuck"),
        pytest.param(TRUE, [CADENCE, CADENCE + 1], id="both show the cadence"),
        pytest.param(SPRINT, [3 * SPRINT - 260, 3 * SPRINT - 259], id="both leap with the strap"),
        pytest.param(
            FALLS, [np.roll(FALLS, 25), np.roll(FALLS, 28)], id="both are late at each fall"
        ),
        pytest.param(bad_strap(), [late(2), TRUE - 30], id="the devices do not agree"),
        pytest.param(bad_strap(), [late(2)], id="there is one device"),
        pytest.param(bad_strap(), [], id="there is none"),
        pytest.param(bad_strap(), [np.full(TRUE.size, np.nan)] * 2, id="none has a value"),
    ],
)
def test_what_devices_may_do_together_is_not_laid_on_the_strap(strap, devices):
    assert alone(strap, devices) == ()
