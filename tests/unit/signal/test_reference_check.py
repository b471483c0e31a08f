import numpy as np
import pytest

from benchmarks.reference_check import Cut, both_cuts, by_either, clean_rate
from benchmarks.strap_faults import FAULTS, HEARTS, heart
from real.paired_beats import recordings
from strapline.ground.settings import Reference
from strapline.method.signal.beat_rate import rate_at_seconds
from strapline.method.signal.reference_check import judged, reasons_against
from strapline.method.signal.rr_artefacts import artefact_share_at
from strapline.method.signal.trace import Trace

START = 1_770_000_000.0


def reasons(rate, share=None, **limits):
    rate = np.array(rate, dtype=float)
    seconds = START + np.arange(rate.size)
    known = ~np.isnan(rate)
    chosen = Reference(**limits)
    return reasons_against(seconds, Trace(seconds[known], rate[known]), 10, chosen, share)


def places(found, reason):
    return list(np.flatnonzero(found == reason))


def wavering(length, level=120):
    """Whole bpm that never stay the same for long."""
    return level + np.arange(length) // 3 % 4


def test_a_good_reference_is_believed_throughout():
    assert set(reasons(wavering(300))) == {""}


def test_the_same_value_for_too_long():
    rate = [*wavering(30), *[130] * 61, *wavering(30)]
    assert places(reasons(rate), "reference_flat") == list(range(30, 91))
    rate = [*wavering(30), *[130] * 60, *wavering(30)]
    assert set(reasons(rate)) == {""}


def test_rates_in_fractions_may_stay_the_same_for_less_long():
    rate = [*wavering(30) + 0.25, *[130.25] * 11, *wavering(30) + 0.25]
    assert places(reasons(rate), "reference_flat") == list(range(30, 41))
    assert set(reasons(np.round(rate))) == {""}


def test_whole_rates_from_beats_count_as_fine():
    rate = [*wavering(30), *[130] * 11, *wavering(30)]
    assert places(reasons(rate, np.zeros(71)), "reference_flat") == list(range(30, 41))


def test_a_value_that_sticks_until_it_jumps():
    rate = [*wavering(30), *[130] * 20, *wavering(30, 150)]
    assert places(reasons(rate), "reference_flat") == list(range(30, 50))


def test_a_step_and_what_lies_between_it_and_the_step_back():
    rate = wavering(100)
    rate[40:60] += 60
    found = reasons(rate)
    # A fall to less than two thirds still shows for 3 s after it.
    assert places(found, "reference_step") == list(range(37, 66))


def test_two_steps_up_are_not_joined():
    rate = wavering(100)
    rate[40:] += 20
    rate[60:] += 20
    assert places(reasons(rate), "reference_step") == [*range(37, 43), *range(57, 63)]


def test_the_largest_step_itself_is_possible():
    rate = np.array([*wavering(20, 120), *wavering(20, 136)], dtype=float)
    step = rate[20] - rate[19]
    assert set(reasons(rate, largest_step_bpm=step)) == {""}
    assert places(reasons(rate, largest_step_bpm=step - 1), "reference_step") == list(range(17, 23))


def test_a_rate_that_halves_in_small_steps():
    rate = [*[58, 59, 60] * 10, 52, 44, 36, *[29, 30] * 10, 38, 46, 54, *[60, 59] * 10]
    found = places(reasons(rate), "reference_step")
    assert set(range(32, 56)) <= set(found)
    assert found[0] >= 28
    assert found[-1] <= 60


def test_exercise_onset_is_possible():
    # From 60 towards 172 bpm with a time constant of 9 s, faster than hearts are said to be.
    rate = np.concatenate([np.full(30, 60.0), 172 - 112 * np.exp(-np.arange(60) / 9)])
    assert set(reasons(np.round(rate))) == {""}


def test_a_dropout_and_what_follows_it():
    rate = np.array(wavering(80), dtype=float)
    rate[20:50] = np.nan
    found = reasons(rate)
    assert places(found, "no_reference") == list(range(20, 50))
    assert places(found, "reference_settling") == list(range(50, 55))
    of_beats = reasons(rate, np.zeros(80))
    assert set(of_beats) == {"", "no_reference"}


def test_a_bridged_dropout_is_told():
    rate = np.array(wavering(60), dtype=float)
    rate[20:26] = np.nan
    assert places(reasons(rate), "reference_settling") == list(range(20, 31))


def test_too_many_artefacts():
    share = np.zeros(60)
    share[20:30], share[30:35] = 0.21, 0.2
    assert places(reasons(wavering(60), share), "reference_artefacts") == list(range(20, 30))


def test_the_share_of_artefacts_around_a_second():
    end = np.arange(1.0, 41)
    artefact = (end > 10) & (end <= 15)
    share = artefact_share_at(np.array([13.0, 30, 500]), end, artefact)
    assert share == pytest.approx([5 / 15, 0, 0])
    assert artefact_share_at(np.array([1.0]), np.array([]), np.array([])) == pytest.approx([0])


@pytest.mark.parametrize("rate", [[], [70], [70, 71], [np.nan, np.nan]])
def test_little_input(rate):
    assert list(reasons(rate)) == ["no_reference" if np.isnan(value) else "" for value in rate]


def verdict(*counts):
    words = ["", "no_reference", "reference_flat"]
    allowed = Reference(largest_doubtful_share=0.2)
    return judged(np.repeat(np.array(words, dtype=object), counts), allowed)


def test_the_verdict_states_the_share():
    found = verdict(790, 110, 100)
    assert found.share == pytest.approx(0.21)
    assert found.set_aside
    assert found.doubtful == {"no_reference": 110, "reference_flat": 100}
    assert found.sentence == (
        "The reference is missing or doubtful in 21.0 % of its 1000 s (no value 110 s, flat 100 "
        "s); at most 20 % is allowed, so the session is no evidence. If only a part of it is "
        "spoilt, exclude that part in the session card."
    )


def test_as_much_as_is_allowed_is_allowed():
    found = verdict(800, 100, 100)
    assert not found.set_aside
    assert found.sentence.endswith("these seconds are not compared.")


def test_a_verdict_on_a_good_reference_and_on_none():
    assert verdict(60, 0, 0).sentence == "The strap gave no cause for doubt in any of its 60 s."
    assert not verdict(60, 0, 0).set_aside
    assert verdict(0, 0, 0).set_aside
    assert verdict(0, 60, 0).set_aside


def test_simulated_good_references_lose_next_to_nothing():
    for name in HEARTS:
        for cut in both_cuts(name, "none", 1800, Reference()).values():
            assert cut.cut / cut.seconds < 0.01


def test_real_good_references_lose_next_to_nothing():
    lost = total = 0
    for beats in recordings():
        rr = np.diff(beats.seconds) * 1000
        artefact = by_either(rr)
        seconds, rate = rate_at_seconds(beats.seconds[1:], rr, ~artefact, 5)
        known = ~np.isnan(rate)
        share = artefact_share_at(seconds, beats.seconds[1:], artefact)
        trace = Trace(seconds[known], rate[known])
        lost += np.sum(reasons_against(seconds, trace, 10, Reference(), share) != "")
        total += seconds.size
    assert lost / total < 0.002


# Recall and precision over all hearts, less a margin: the figures that
# `benchmarks.reference_check` prints over two hours each. A strap that repeats its last value is
# caught only where it catches up with a jump, which is its limit.
BOUNDS = {
    ("demo", "averaged"): (0.9, 0.45),
    ("demo", "beats"): (0.85, 0.4),
    ("half", "averaged"): (0.85, 0.7),
    ("half", "beats"): (0.8, 0.7),
    ("static", "averaged"): (0.85, 0.6),
    ("static", "beats"): (0.8, 0.6),
    ("stuck", "averaged"): (0.35, 0.5),
}


@pytest.mark.parametrize("fault", ["demo", *(fault for fault in FAULTS if fault != "lost")])
def test_seconds_that_are_truly_wrong_are_cut(fault):
    totals = {}
    for name in HEARTS:
        for source, cut in both_cuts(name, fault, 3600, Reference()).items():
            totals[source] = totals.get(source, Cut(0, 0, 0, 0)) + cut
    for source, total in totals.items():
        recall, precision = BOUNDS[fault, source]
        assert total.wrong > 300, source
        assert total.found / total.wrong > recall, (source, str(total))
        assert total.found / total.cut > precision, (source, str(total))


def test_the_simulated_truth_is_the_rate_of_the_beats():
    # 54 + 3 sin(t / 90) bpm: the whole second nearest to a crest of the sine.
    truth = clean_rate(heart("rest", 600, "unit"))
    assert truth[141.0] == pytest.approx(57, abs=2.5)
