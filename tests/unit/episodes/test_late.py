"""What a device's lateness explains, and what turns low or high beside it."""

import re

import numpy as np
import pytest

from strapline.demo.physiology import first_order, wandering
from strapline.ground.settings import Episodes
from strapline.method.episodes.detect import detect
from strapline.method.episodes.view import View
from strapline.method.signal.response import response

SECONDS = np.arange(1800)
# Sets and rests as a body answers them: targets held for a while, first-order in between.
TARGETS = np.repeat([95, 165, 105, 150, 100, 172, 110, 160, 98], 200).astype(float)
HEART = np.round(first_order(TARGETS, 24, 38))


def view(device, delays_s=None):
    known = np.ones(SECONDS.size, dtype=bool)
    none = np.full(SECONDS.size, np.nan)
    if delays_s is None:
        found = response(HEART, device)
        told = {-1: found.rising, 1: found.falling, 0: found.throughout}
        delays_s = {sign: (one.low_s, one.high_s) for sign, one in told.items() if one}
    return View(HEART, device, known, ~known, none, delays_s=delays_s)


def kinds(found):
    return {each.kind for each in (*found.episodes, *found.events)}


@pytest.mark.parametrize("noise_bpm", [0.5, 2.5])
@pytest.mark.parametrize(("rise_s", "fall_s"), [(8, 8), (15, 15), (25, 25), (9, 16)])
def test_a_device_that_is_only_late_is_told_as_late(rise_s, fall_s, noise_bpm):
    """Neither low at rises, nor high at falls, nor dipping where it comes back."""
    noise = wandering(SECONDS.size, noise_bpm, 12, np.random.default_rng([rise_s, 5]))
    found = detect(view(np.round(first_order(HEART, rise_s, fall_s) + noise)), Episodes())
    assert kinds(found) == {"slow_to_follow"}


def test_one_of_eight_alike_is_not_told_as_another_kind():
    """A share of each rise is lost, a little more or less each time; only the first could be taken
    for lateness."""
    device = HEART.copy()
    for place, (start, lost) in enumerate(zip(range(200, 1800, 400), (9, 32, 28, 35), strict=True)):
        eased = first_order(np.where((start <= SECONDS) & (start + 60 > SECONDS), lost, 0), 6, 6)
        device -= eased if place else np.where(start + 45 > SECONDS, HEART - delayed(HEART), 0)
    # Of a delay that is not that of the first, no more is believed.
    for delays_s in ({}, {0: (24.0, 28.0)}):
        found = detect(view(np.round(device), delays_s), Episodes())
        assert len(found.episodes) == 4
        assert kinds(found) == {"reads_low"}


def delayed(heart):
    return first_order(heart, 14, 14)


def test_low_that_turns_high_is_two_spans_of_one_size_each():
    device = HEART.copy()
    device[100:190] -= 30
    device[190:250] += 18
    found = detect(view(device, {}), Episodes())
    assert [(e.kind, e.start_s, e.end_s) for e in found.episodes] == [
        ("reads_low", 100, 190),
        ("reads_high", 190, 250),
    ]
    for each, size in zip(found.episodes, (30, 18), strict=True):
        assert abs(each.mean_error_bpm) == size
        assert re.search(rf"averaged {size} bpm", each.evidence)


def test_a_level_that_steps_to_one_much_larger_is_told_by_both():
    """10 bpm low throughout, 44 bpm low for four minutes, with a spike in them."""
    device = HEART - 10
    device[600:840] -= 34
    device[700:706] += 90
    found = detect(view(device, {}), Episodes())
    assert [(e.start_s, e.end_s, e.mean_error_bpm) for e in found.episodes] == [
        (0, 600, -10),
        (600, 840, -44),
        (840, 1800, -10),
    ]
    assert [(e.kind, e.start_s, e.part_of_s) for e in found.events] == [("spike", 700, 600)]


@pytest.mark.parametrize("deeper", [14, np.linspace(0, 40, 240)])
def test_a_level_that_hardly_steps_or_slopes_is_one(deeper):
    device = HEART - 15
    device[600:840] -= deeper
    assert len(detect(view(device, {}), Episodes()).episodes) == 1


def test_a_spike_leaves_the_size_of_its_span_one():
    device = HEART - np.where((SECONDS >= 300) & (SECONDS < 700), 40, 0)
    device[500:508] += 80
    (low,) = detect(view(device, {}), Episodes()).episodes
    assert low.mean_error_bpm == -40
    assert low.evidence.startswith("The device averaged 40 bpm below the strap")


def test_what_comes_back_halfway_is_no_dip():
    """50 bpm low for four minutes; near its end 20 bpm low for eight seconds."""
    lost = np.where((SECONDS >= 300) & (SECONDS < 540), 50, 0)
    lost[500:508] = 20
    found = detect(view(HEART - lost, {}), Episodes())
    assert found.events == () and kinds(found) == {"reads_low"}


@pytest.mark.parametrize("length", range(14, 40, 5))
def test_a_short_level_has_no_dip_in_it(length):
    lost = np.where((SECONDS >= 300) & (300 + length > SECONDS), 60, 0)
    found = detect(view(HEART - lost, {}), Episodes())
    assert found.events == () and kinds(found) == {"reads_low"}


def test_a_level_that_ends_is_no_dip():
    """35 bpm low for a minute and a quarter, a little more near its end."""
    lost = np.where((SECONDS >= 300) & (SECONDS < 375), 35, 0)
    lost[363:375] = 50
    found = detect(view(HEART - lost, {}), Episodes())
    assert found.events == () and kinds(found) == {"reads_low"}


def test_a_jump_does_not_make_a_fault_of_what_is_a_little_off():
    """7 bpm high for a minute is none; in it 45 bpm more, for seven seconds."""
    device = HEART + np.where((SECONDS >= 300) & (SECONDS < 360), 7, 0)
    device[330:337] += 45
    (spike,) = detect(view(device, {}), Episodes()).episodes
    assert (spike.kind, spike.start_s, spike.end_s) == ("spike", 330, 337)


@pytest.mark.parametrize(("lost_bpm", "kind"), [(25, "reads_low"), (4, "slow_to_follow")])
def test_a_fault_is_what_most_of_it_is_and_says_how_much_the_delay_explains(lost_bpm, kind):
    """15 s late throughout and, in every other effort, so much too low as well."""
    late = np.concatenate([np.full(15, HEART[0]), HEART[:-15]])
    effort = (SECONDS // 200 % 2 == 1) & (SECONDS > 420)
    device = late - first_order(np.where(effort, lost_bpm, 0), 4, 4)
    found = detect(view(np.round(device), {0: (13.0, 17.0)}), Episodes())
    in_effort = [each for each in found.episodes if effort[each.start_s : each.start_s + 40].any()]
    assert {each.kind for each in in_effort} == {kind}
    for each in in_effort:
        span = slice(each.start_s, each.end_s)
        off = np.abs(device - HEART)[span].mean()
        left = np.abs(device - late)[span].mean()
        if kind == "slow_to_follow":
            (told_left, told_off) = re.search(r"leaves (\S+) of (\S+) bpm", each.evidence).groups()
            assert (float(told_off), float(told_left)) == (
                pytest.approx(off, abs=1),
                pytest.approx(left, abs=3),
            )
        else:
            explained, told_off = re.search(
                r"Its delay explains (\d+) of the (\d+) bpm", each.evidence
            ).groups()
            assert (int(told_off), int(explained)) == (
                pytest.approx(off, abs=1),
                pytest.approx(off - left, abs=2),
            )
