"""What may be said of a device: the verdict, and the numbers in the sentence read back."""

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strapline.ground.settings import Claims
from strapline.method.claims.claim import Ground
from strapline.method.claims.device_claims import (
    Bias,
    bias_claim,
    criterion_claim,
    equivalence_claim,
    firmware_claim,
    limits_claim,
    reference_claim,
    slope_claim,
    wearers_claim,
)
from strapline.method.claims.duels import Duel, duel_claim
from strapline.method.metrics.value import Value

CLAIMS = Claims()
LITTLE, SOME, MUCH = Ground(2, 1, 500), Ground(4, 1, 100), Ground(12, 3, 400)
NEXT = Value(0.0, -7.7, 8.8)
UNKNOWN = Value(math.nan)


def read(sentence):
    """Every number of a sentence, a true minus sign among them."""
    return [float(n) for n in re.findall(r"[+-]?\d+(?:\.\d+)?", sentence.replace("−", "-"))]


def bias(value, low, high, ground=MUCH):
    return bias_claim("Watch", ground, told(Value(value, low, high)), 5, CLAIMS)


def told(these, **more):
    return replace(Bias(these, 0.012, these, 0.034, NEXT, UNKNOWN, UNKNOWN), **more)


@pytest.mark.parametrize(
    ("ground", "strength"),
    [
        (Ground(2, 9, 9999), "did"),
        (Ground(3, 1, 59.9), "did"),
        (Ground(3, 1, 60), "tends"),
        (Ground(3, 0, 60), "tends"),
        (Ground(30, 2, 9999), "tends"),
        (Ground(7, 3, 9999), "tends"),
        (Ground(8, 3, 239), "tends"),
        (Ground(8, 3, 240), "does"),
    ],
)
def test_more_evidence_allows_stronger_words(ground, strength):
    assert ground.strength(CLAIMS) == strength


def test_words_grow_with_the_evidence():
    little, some, much = (bias(-2.5, -4.5, -0.5, ground) for ground in (LITTLE, SOME, MUCH))
    assert little.verdict == "not yet"
    assert some.verdict == much.verdict == "shown"
    assert "read 2.5 bpm lower than the strap in these 2 sessions of one wearer." in little.sentence
    assert "tends to read 2.5 bpm lower" in some.sentence
    assert "Watch reads 2.5 bpm lower" in much.sentence


@given(st.floats(-30, 30), st.floats(0.2, 20))
def test_numbers_of_a_bias_are_the_tables(value, half):
    claim = bias(value, value - half, value + half)
    found = read(claim.sentence)
    interval = [value - half, value + half]
    lead, more = [value], []
    if claim.verdict == "shown":
        lead = [abs(value)]
        assert ("lower" in claim.sentence) == (value < 0)
    elif claim.verdict == "below the margin":
        lead = [3, 5, value]
        assert max(abs(value - half), abs(value + half)) < 5
    else:
        more = [n for n in found[-4:-3] if "about one more session" not in claim.sentence]
        assert all(1 <= n <= 30 for n in more)
    expected = [*lead, 95, *interval, 0.012, 12, 3, *more, 95, -7.7, 8.8]
    assert found == pytest.approx(expected, abs=0.0501)
    ends = found[len(lead) + 1 : len(lead) + 3]
    assert (ends[0] * ends[1] > 0) == (claim.verdict == "shown")


@pytest.mark.parametrize(
    "claim",
    [
        claim
        for ground in (Ground(1, 1, 30), SOME, Ground(20, 1, 900))
        for claim in (
            bias(-2.5, -4.5, -0.5, ground),
            bias(0.5, -4.5, 5.5, ground),
            limits_claim(
                "Watch", ground, Value(-9, -12, -7), Value(8, 6, 11), (-9, 8), UNKNOWN, CLAIMS
            ),
            criterion_claim(
                "Watch", "good", ground, Value(100, 60, 100), Value(100, 60, 100), CLAIMS
            ),
            criterion_claim("Watch", "good", ground, Value(0, 0, 40), Value(0, 0, 40), CLAIMS),
            criterion_claim("Watch", "good", ground, Value(50, 20, 80), Value(50, 20, 80), CLAIMS),
            equivalence_claim(
                "Watch", 5, 0.05, ground, Value(1, 0, 2), Value(1, 0, 2), UNKNOWN, CLAIMS
            ),
            equivalence_claim(
                "Watch", 5, 0.05, ground, Value(4, 1, 7), Value(4, 1, 7), UNKNOWN, CLAIMS
            ),
            firmware_claim("Watch", ("1", "2"), ground, Value(-2, -3, -1), CLAIMS),
            wearers_claim("Watch", ground, Value(-2, -3, -1), 0.01, NEXT, CLAIMS),
            slope_claim("Watch", ground, Value(-0.2, -0.3, -0.1), 0.01, CLAIMS),
        )
    ],
)
def test_one_wearer_is_always_told_and_never_more_than_a_tendency(claim):
    assert "one wearer" in claim.sentence
    for word in ("Watch reads 2.5", " meets ‘good’ in most sessions:", " lies within ±5 bpm:"):
        assert word not in claim.sentence
    assert not set("*★") & set(claim.sentence)


def test_no_interval_no_claim():
    assert bias(3.0, math.nan, math.nan).verdict == "not yet"


@pytest.mark.parametrize("over_wearers", [UNKNOWN, Value(-2, -5, 0.5), Value(2, 1, 3)])
def test_no_device_does_what_the_next_wearer_may_not_see(over_wearers):
    these = told(Value(-2.5, -4.5, -0.5), people=over_wearers, further=UNKNOWN)
    claim = bias_claim("Watch", MUCH, these, 5, CLAIMS)
    assert claim.verdict == "shown"
    assert claim.sentence.startswith("On these 3 wearers, Watch tends to read 2.5 bpm lower")
    assert "further session" not in claim.sentence


def test_a_failure_that_no_session_showed_is_told_beside_the_interval():
    limits = Value(-9.5, -12.5, -7.5), Value(8.5, 6.5, 11.5)
    statistic = Value(-2.5, -4.5, -0.5)
    none, some = Value(0, 0, 22.1), Value(100 / 12, 0, 33.9)
    for failing, words in (
        (none, "A failure that none of these 12 sessions showed is not in this interval: up to 22"),
        (some, "It was off for too long in one session of 12, and may be in up to 34"),
    ):
        for claim in (
            bias_claim("Watch", MUCH, told(statistic, failing=failing), 5, CLAIMS),
            limits_claim("Watch", MUCH, *limits, (-9, 8), failing, CLAIMS),
        ):
            assert f"{words} % of sessions" in claim.sentence


def test_limits_are_told_at_the_heart_rates_that_sessions_reach():
    limits = Value(-9.5, -12.5, -7.5), Value(8.5, 6.5, 11.5)
    at = {80: (Value(-4, -6, -2), Value(5, 3, 7)), 160: (Value(-20, -25, -15), Value(6, 4, 9))}
    claim = limits_claim("Watch", MUCH, *limits, (-9, 8), UNKNOWN, CLAIMS, at)
    said = "By heart rate they are −4.0 to +5.0 bpm at 80 bpm and −20.0 to +6.0 bpm at 160 bpm."
    assert said in claim.sentence


@pytest.mark.parametrize(
    ("slope", "p", "verdict", "words"),
    [
        (Value(-0.05, -0.08, -0.02), 0.01, "shown", "tends to read lower the higher the heart"),
        (Value(0.05, 0.02, 0.08), 0.01, "shown", "tends to read higher the higher the heart"),
        (Value(-0.05, -0.08, -0.02), 0.05, "not yet", "is not yet known: its difference"),
        (Value(-0.05, -0.08, -0.004), 0.01, "not yet", "−0.5 bpm for every 10 bpm of heart"),
        (Value(-0.05), 0.01, "not yet", "There is no interval: one of the"),
    ],
)
def test_a_slope_is_told_over_ten_beats(slope, p, verdict, words):
    claim = slope_claim("Watch", MUCH, slope, p, CLAIMS)
    assert claim.verdict == verdict and words in claim.sentence
    assert "0.5 bpm for every 10 bpm of heart rate" in claim.sentence
    # Nothing is said of other people.
    assert verdict != "shown" or claim.sentence.startswith("On these 3 wearers, ")


def test_the_straps_own_error_is_told_as_an_upper_bound():
    claim = reference_claim("Strap", "strength", MUCH, Value(3.2, 2.1, 4.0), CLAIMS)
    assert claim.sentence == (
        f"Strength: the random error of Strap is at most 4.0 bpm ({MUCH}). What the devices err "
        "together counts as the strap’s, so it may be much smaller."
    )
    below = reference_claim("Strap", "strength", MUCH, Value(math.nan, 0.0, 1.2), CLAIMS)
    assert below.verdict == "not yet" and "below 0 (95 % interval 0.0 to 1.2" in below.sentence
    for few, error in ((MUCH, UNKNOWN), (Ground(2, 1, 50), Value(3.2, 2.1, 4.0))):
        claim = reference_claim("Strap", "strength", few, error, CLAIMS)
        assert claim.verdict == "not yet" and "cannot be told" in claim.sentence


def test_what_people_do_not_show_is_told_of_these_wearers():
    share, unsure = Value(100, 75.8, 100), Value(100, 29.2, 100)
    sure = criterion_claim("Watch", "good", MUCH, share, share, CLAIMS)
    here = criterion_claim("Watch", "good", MUCH, share, unsure, CLAIMS)
    assert sure.sentence.startswith("Watch meets ‘good’ in most sessions")
    assert here.sentence.startswith("On these 3 wearers, Watch tends to meet ‘good’")
    mean, wide = Value(1.5, -0.5, 3.5), Value(1.5, -6.5, 9.5)
    sure = equivalence_claim("Watch", 5, 0.05, MUCH, mean, mean, UNKNOWN, CLAIMS)
    here = equivalence_claim("Watch", 5, 0.05, MUCH, mean, wide, UNKNOWN, CLAIMS)
    assert sure.sentence.startswith("Averaged over sessions, Watch’s bias lies within ±5 bpm")
    assert here.sentence.startswith(
        "On these 3 wearers, averaged over sessions, Watch’s bias tends"
    )


def test_a_sign_must_stand_among_all_that_are_judged():
    statistic = Value(-2.5, -4.5, -0.5)
    for p, verdict in ((0.049, "shown"), (0.05, "not yet"), (math.nan, "not yet")):
        # Against a margin that the interval is not within.
        assert bias_claim("Watch", MUCH, told(statistic, p=p), 4, CLAIMS).verdict == verdict
        assert wearers_claim("Watch", MUCH, statistic, p, NEXT, CLAIMS).verdict == verdict
    only_these = bias_claim("Watch", MUCH, told(statistic, p_people=0.05), 5, CLAIMS)
    assert only_these.sentence.startswith("On these 3 wearers, Watch tends to read")


@pytest.mark.parametrize("low", [-4.5, 0.04])
def test_it_is_told_why_nothing_is_shown_where_the_interval_leaves_out_0(low):
    these = Value(-6.5, -8.5 if low < 0 else -13, low)
    for claim in (
        bias_claim("Watch", MUCH, told(these, p=0.06), 5, CLAIMS),
        wearers_claim("Watch", MUCH, these, 0.06, NEXT, CLAIMS),
        slope_claim("Watch", MUCH, Value(these.value / 10, these.low / 10, low / 10), 0.06, CLAIMS),
    ):
        assert claim.verdict == "not yet"
        assert ("By itself this interval leaves out 0, but" in claim.sentence) == (low < 0)


def test_where_the_interval_is_within_the_margin_there_is_no_difference():
    statistic = Value(-1.0, -2.5, 0.5)
    claim = bias_claim("Watch", MUCH, told(statistic, p=0.2), 5, CLAIMS)
    assert claim.verdict == "below the margin"
    assert claim.sentence.startswith(
        "On these 3 wearers, Watch shows no bias of 5 bpm or more: its bias was −1.0 bpm"
    )
    assert bias_claim("Watch", MUCH, told(statistic, p=0.2), 2.5, CLAIMS).verdict == "not yet"
    at_one = told(statistic, p=0.2, furthest=Value(-8.0))
    assert bias_claim("Watch", MUCH, at_one, 5, CLAIMS).verdict == "not yet"


def test_equivalence_over_activities_needs_each_of_them_within():
    claim = equivalence_claim(
        "Watch", 5, 0.05, MUCH, Value(1, 0, 2), Value(1, 0, 2), Value(-8, -9, -7), CLAIMS
    )
    assert claim.verdict == "not yet" and claim.sentence.endswith("at one activity −8.0 bpm.")
    within = equivalence_claim(
        "Watch", 5, 0.05, MUCH, Value(1, 0, 2), Value(1, 0, 2), Value(-4, -9, 1), CLAIMS
    )
    assert within.verdict == "shown"


def test_what_rounds_to_zero_does_not_leave_it_out():
    assert bias(-1.0, -2.0, -0.04).verdict == "below the margin"
    assert bias(-1.0, -2.0, -0.06).verdict == "shown"


def test_limits_are_told_with_their_intervals():
    lower, upper = Value(-9.5, -12.5, -7.5), Value(8.5, 6.5, 11.5)
    claim = limits_claim("Watch", MUCH, lower, upper, (-9.2, 8.1), UNKNOWN, CLAIMS)
    numbers = [-9.5, 8.5, 95, -12.5, -7.5, 6.5, 11.5, 12, 3, 95, -9.2, 8.1]
    assert (claim.verdict, read(claim.sentence)) == ("shown", numbers)


@pytest.mark.parametrize(
    ("seconds", "normal"), [((-11.2, 6.8), True), ((-11.4, 8.5), False), ((-9.5, 6.6), False)]
)
def test_errors_are_not_called_normal_where_seconds_lie_elsewhere(seconds, normal):
    """By more than a tenth of the limits' width of 18 bpm, on either side."""
    limits = Value(-9.5, -12.5, -7.5), Value(8.5, 6.5, 11.5)
    said = limits_claim("Watch", MUCH, *limits, seconds, UNKNOWN, CLAIMS).sentence
    assert ("the errors are not normal" in said) != normal


@pytest.mark.parametrize(
    ("share", "verdict", "words"),
    [
        (Value(100, 75.8, 100), "shown", "Watch meets ‘good’"),
        (Value(0, 0, 24.2), "shown", "Watch misses ‘good’"),
        (Value(50, 25.4, 74.6), "not yet", "Whether Watch meets ‘good’"),
    ],
)
def test_a_criterion_is_met_or_missed_or_open(share, verdict, words):
    claim = criterion_claim("Watch", "good", MUCH, share, share, CLAIMS)
    assert claim.verdict == verdict and claim.sentence.startswith(words)
    met = share.value * 12 / 100
    interval = [round(share.low), round(share.high)]
    more = [30] if verdict == "not yet" else []
    assert read(claim.sentence) == [met, 12, 95, *interval, 12, 3, *more]


def test_equivalence_needs_the_whole_interval_within_the_margin():
    inside = equivalence_claim(
        "Watch", 5, 0.05, MUCH, Value(1.5, -0.5, 3.5), Value(1.5, -0.5, 3.5), UNKNOWN, CLAIMS
    )
    across = equivalence_claim(
        "Watch", 5, 0.05, MUCH, Value(4.5, 2.5, 6.5), Value(4.5, 2.5, 6.5), UNKNOWN, CLAIMS
    )
    assert (inside.verdict, across.verdict) == ("shown", "not yet")
    assert read(inside.sentence) == [5, 1.5, 90, -0.5, 3.5, 12, 3]


def test_firmware_says_which_way_and_that_other_causes_are_possible():
    claim = firmware_claim("Watch", ("1.2", "2.0"), SOME, Value(-2.5, -4.5, -0.5), CLAIMS)
    assert claim.verdict == "shown" and "2.5 bpm smaller than with 1.2" in claim.sentence
    assert claim.sentence.startswith("On this wearer, with firmware 2.0")
    assert "other causes" in claim.sentence
    confused = firmware_claim("Watch", ("1.2", "2.0"), SOME, UNKNOWN, CLAIMS)
    assert confused.verdict == "not yet" and "cannot be told apart" in confused.sentence
    open_ = firmware_claim("Watch", ("1.2", "2.0"), SOME, Value(2.5, -0.5, 5.5), CLAIMS)
    assert open_.verdict == "not yet" and "larger" in open_.sentence


BAND = Duel(
    label_a="Band",
    label_b="Watch",
    ground=MUCH,
    difference=Value(-2.5, -4.5, -0.5),
    balanced=Value(-2.4, -4.3, -0.6),
    p=0.012,
    people_p=0.02,
    pairs=6,
    sessions_needed=4,
    failed_a=1,
    failed_b=2,
    closer=Value(75, 55, 93),
    a_left=7,
    a_right=5,
)


def claimed(**changes):
    return duel_claim(replace(BAND, **changes), CLAIMS, "most of it")


def test_too_few_sessions_to_show_anything_is_no_null_result():
    claim = claimed(p=0.375, ground=SOME, sessions_needed=8)
    assert claim.verdict == "not yet"
    assert read(claim.sentence) == [3, 4, 4]
    assert claimed(p=0.375, ground=SOME).verdict == "not yet"


def test_the_closer_device_is_named_first_whichever_way_round():
    one, other = claimed(), duel_claim(BAND.turned(), CLAIMS, "most of it")
    typical = "Band is closer to the strap than Watch in the typical session, by 2.5 bpm"
    assert one.sentence.startswith(typical)
    assert one == other
    interval, p = [0.5, 4.5], 0.012
    further, wrists = [9, 12, 100, 55, 93], [7, 5, 2.4, 0.6, 4.3]
    # Clopper & Pearson, one-sided, 1 and 2 of 12; six pairs at 5 % together.
    failed = [1, 12, 34, 2, 12, 44]
    assert read(one.sentence) == [2.5, 99.2, *interval, p, 12, 3, *further, *failed, *wrists]
    assert "of 100 further sessions it may be closer in 55 to 93." in one.sentence
    assert "Band missed ‘most of it’ in 1 of 12 sessions" in one.sentence
    assert "failed" not in one.sentence


def test_of_what_is_not_yet_known_it_is_told_what_was():
    told = claimed(p=0.4, failed_a=0, failed_b=1).sentence
    assert "is not yet known: here Band was closer (99.2 % interval" in told


@pytest.mark.parametrize(
    ("failed_a", "failed_b", "sessions", "told"),
    [(1, 2, 12, True), (0, 2, 40, False), (0, 0, 19, False), (0, 0, 20, True)],
)
def test_by_how_much_is_said_only_where_failures_are_known(failed_a, failed_b, sessions, told):
    ground = replace(MUCH, sessions=sessions)
    claim = claimed(failed_a=failed_a, failed_b=failed_b, ground=ground)
    assert ("session, by 2.5 bpm" in claim.sentence) == told


@pytest.mark.parametrize("people_p", [math.nan, 0.05])
def test_of_people_a_device_is_closer_only_where_wearers_show_it(people_p):
    claim = claimed(people_p=people_p)
    assert claim.verdict == "shown"
    assert claim.sentence.startswith("On these 3 wearers, Band tends to be closer")


@pytest.mark.parametrize(
    "changes",
    [
        {"p": 0.05},
        {"p": math.nan},
        {"balanced": Value(-2.4, -5.0, 0.2)},
        {"balanced": UNKNOWN, "a_left": 12, "a_right": 0},
    ],
)
def test_a_device_is_closer_only_beyond_chance_and_on_either_wrist(changes):
    assert claimed().verdict == "shown"
    assert claimed(**changes).verdict == "not yet"
    assert claimed(ground=LITTLE).verdict == "not yet"


def test_where_each_sat_is_told():
    never = claimed(balanced=UNKNOWN, a_left=12, a_right=0).sentence
    assert "Band: left 12, right 0" in never and "cannot be told apart" in never
    assert "cannot be told apart" not in claimed().sentence


def test_no_difference_is_not_told_as_zero_lower():
    claim = bias(-0.04, math.nan, math.nan, LITTLE)
    assert claim.sentence.startswith("Watch averaged the same as the strap in these 2 sessions")
