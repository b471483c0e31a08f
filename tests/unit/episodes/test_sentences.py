"""Every number in a sentence is read back and compared with the tables."""

import re

import numpy as np
import pandas as pd
import pytest

from strapline.ground.settings import Episodes, Tolerance
from strapline.ground.tables.sessions import ALIGNED
from strapline.ground.words import clock
from strapline.method.episodes import kinds
from strapline.method.episodes.not_compared import PARTS
from strapline.method.episodes.sentences import MOST_WORDS, brief_aloud, untested
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from strapline.method.episodes.spoken import in_breaths, spoken
from unit.episodes.invented import session
from unit.episodes.telling import low_with_a_spike, tell

SEEDS = range(30_000, 30_024)
CLOCK = r"((?:\d+:)?\d+:\d\d)"
LENGTH = r"((?:\d+ h ?)?(?:\d+ min ?)?(?:\d+ s)?)"
NUMBER = r"([−+]?\d+(?:\.\d+)?)"
KINDS = {kind.did: kind.key for kind in kinds.KINDS}
DEEDS = "|".join(kind.did for kind in kinds.KINDS)


@pytest.fixture(scope="module")
def told(intake):
    """Episodes, course and sentences by form, of some invented sessions."""
    return [tell(session(seed), intake) for seed in SEEDS]


@pytest.fixture(scope="module")
def low_with_spikes(intake):
    """Sessions in which the device drops by 40 bpm for five minutes, and jumps up in them."""
    return [tell(low_with_a_spike(session(seed)), intake) for seed in SEEDS[:6]]


def seconds(text):
    if ":" in text:
        parts = [int(part) for part in text.split(":")]
        return sum(value * 60**power for power, value in enumerate(reversed(parts)))
    units = {"h": 3600, "min": 60, "s": 1}
    return sum(int(n) * units[unit] for n, unit in re.findall(r"(\d+) (h|min|s)", text))


def number(text):
    return float(text.replace("−", "-"))


def check_account(episodes, course, total, *shares):
    shares = [share for share in shares if share]
    assert seconds(total) == pytest.approx(course["length_s"], abs=59 * (" h" in total))
    columns = ("on_track_s", "episodes_s", "not_compared_s")
    for share, column in zip(shares, columns, strict=False):
        assert number(share) == pytest.approx(100 * course[column] / course["length_s"], abs=0.51)


def check_lock(episodes, course, took, hold):
    assert (hold, seconds(took)) == ("30", course["first_lock_s"])


def check_lock_at_once(episodes, course, hold):
    assert hold == "30" and course["first_lock_s"] <= 5


def check_no_lock(episodes, course, hold):
    assert pd.isna(course["first_lock_s"])


def check_none(episodes, course, count, total):
    assert len(episodes) == 0
    assert seconds(total) == course["on_track_s"]
    assert int(count) == len({*kinds.in_order()} - {"slow_to_follow", *untested(course)})


def check_listed(episodes, course, deed, parts):
    own = spans(episodes, KINDS[deed])
    for start, length in re.findall(rf"at {CLOCK} for {LENGTH}", parts):
        (row,) = own[own["start_s"] == seconds(start)].to_dict("records")
        assert row["end_s"] - row["start_s"] == seconds(length)


def check_again(episodes, course, parts):
    """Of the kind that the sentence before it names."""
    starts = [seconds(start) for start, _ in re.findall(rf"at {CLOCK} for {LENGTH}", parts)]
    own = spans(episodes)
    (kind,) = set(own.loc[own["start_s"].isin(starts), "kind"])
    check_listed(episodes, course, kinds.kind(kind).did, parts)


def check_spikes(episodes, course, parts):
    own = episodes[episodes["kind"] == "spike"]
    for size, start, length in re.findall(rf"{NUMBER} bpm at {CLOCK} for (\d+) s", parts):
        (row,) = own[own["start_s"] == seconds(start)].to_dict("records")
        assert row["end_s"] - row["start_s"] == int(length)
        up = row["peak_error_bpm"] > 0
        true = row["highest_bpm"] if up else abs(row["peak_error_bpm"])
        assert number(size) == pytest.approx(true, abs=0.051 if up else 0.51)


def check_maximum(episodes, course, at, without):
    spikes, top = episodes[episodes["kind"] == "spike"], course["maximum_at_s"]
    (start,) = spikes.loc[(spikes["start_s"] <= top) & (spikes["end_s"] > top), "start_s"]
    assert at is None or seconds(at) == start
    assert number(without) == pytest.approx(course["maximum_without_spikes_bpm"], abs=0.051)


def check_longest(episodes, course, length, start, error):
    assert seconds(start) == course["longest_start_s"]
    assert seconds(length) == course["longest_end_s"] - course["longest_start_s"]
    assert number(error) == pytest.approx(course["longest_error_bpm"], abs=0.051)


def check_peaks(episodes, course, reached, peaks, within, others):
    counts = dict(re.findall(r"(fell short of|overshot) (\d+)", others))
    told = [int(counts.get(did, 0)) for did in ("fell short of", "overshot")]
    check_counts(course, 0 if reached == "none" else int(reached), *told)
    assert (int(peaks), within) == (course["peaks"], "5")


def check_all_peaks(episodes, course, did, peaks, by, within):
    count = 1 if peaks == "only peak" else int(peaks.split()[0])
    way = ["reached", "fell short of", "overshot"].index(did)
    check_counts(course, *(count * (place == way) for place in range(3)))
    assert (by == "to within", within) == (did == "reached", "5")


def check_counts(course, reached, short, over):
    assert (reached, over) == (course["peaks_reached"], course["peaks_overshot"])
    assert reached + short + over == course["peaks"]


SENTENCES = {
    rf"Of {LENGTH}, Watch one was on track for {NUMBER} %, off it for {NUMBER} %"
    rf"(?: and not compared for {NUMBER} %)?\.": check_account,
    rf"No fault of (\d+) kinds was found in the {LENGTH} that could be compared\.": check_none,
    rf"It took {LENGTH} to find the strap’s rate and hold it for {NUMBER} s\.": check_lock,
    rf"It found the strap’s rate at once and held it for {NUMBER} s and more\.": (
        check_lock_at_once
    ),
    rf"At no time did it hold the strap’s rate for {NUMBER} s on end\.": check_no_lock,
    rf"(?:Apart from that, it|It also) ({DEEDS}) (at .*)\.": check_listed,
    r"It did so again (at .*)\.": check_again,
    rf"Its longest time on track was {LENGTH}, from {CLOCK}, and {NUMBER} bpm off on average\.": (
        check_longest
    ),
    r"It reached (none|\d+) of the strap’s (\d+) peaks to within (\d+) bpm(.*)\.": check_peaks,
    r"It (reached|fell short of|overshot) (?:all of )?the strap’s (only peak|\d+ peaks) "
    r"(to within|by more than) (\d+) bpm\.": check_all_peaks,
}


@pytest.mark.slow
def test_every_sentence_says_what_the_tables_hold(told):
    used = set()
    for episodes, course, forms in told:
        for sentence in forms["finding"]:
            matches = [(p, m) for p in SENTENCES if (m := re.fullmatch(p, sentence))]
            assert len(matches) == 1, sentence
            pattern, match = matches[0]
            SENTENCES[pattern](episodes, course, *match.groups())
            used.add(pattern)
    assert len(used) >= 7


def spans(episodes, kind=None):
    own = episodes[episodes["part_of_s"].isna()]
    return own if kind is None else own[own["kind"] == kind]


def test_the_first_line_has_the_averages_and_maxima_of_the_table(told):
    """Worked out again from the difference of what the table holds."""
    for _, course, forms in told:
        found = re.fullmatch(
            rf"It averaged {NUMBER} bpm against the strap’s {NUMBER} \((.*)\) and peaked at "
            rf"{NUMBER} against {NUMBER} \((.*)\)\.",
            forms["line"][-1],
        )
        mean, strap, change, top, strap_top, _ = found.groups()
        assert number(mean) == pytest.approx(course["mean_device_bpm"], abs=0.051)
        assert number(strap) == pytest.approx(course["mean_reference_bpm"], abs=0.051)
        assert number(top) == pytest.approx(course["maximum_device_bpm"], abs=0.051)
        assert number(strap_top) == pytest.approx(course["maximum_reference_bpm"], abs=0.051)
        off = course["mean_device_bpm"] - course["mean_reference_bpm"]
        if change != "the same":
            beats, share = re.findall(NUMBER, change)
            assert number(beats) == pytest.approx(off, abs=0.051)
            assert number(share) == pytest.approx(
                100 * off / course["mean_reference_bpm"], abs=0.51
            )


SPIKES = {
    r"(?:It|It also|In that time it) (?:spiked to|dropped by) (.*)\.": check_spikes,
    rf"(?:That spike|The spike at {CLOCK}) is its maximum; without (?:it|spikes), it peaked at "
    rf"{NUMBER}\.": check_maximum,
}


def test_spikes_are_told_in_the_tables_numbers(told, low_with_spikes):
    used = []
    for episodes, course, forms in told + low_with_spikes:
        for sentence in forms["course"]:
            for pattern, check in SPIKES.items():
                if match := re.fullmatch(pattern, sentence):
                    check(episodes, course, *match.groups())
                    used.append(pattern)
    assert set(used) == set(SPIKES)


def test_moments_told_are_the_tables(told):
    """Starts and ends of spans and events, and starts of what COURSES holds."""
    seen = 0
    for episodes, course, forms in told:
        text = " ".join([*forms["course"], *forms["finding"], *forms["title"]])
        moments = {seconds(found) for found in re.findall(CLOCK, text)}
        also = course[["longest_start_s", "maximum_at_s"]]
        of_faults = episodes[["start_s", "end_s", "off_from_s", "drift_from_s"]].to_numpy().ravel()
        assert moments <= {*of_faults, *also}
        seen += len(moments)
    assert seen > 40


def test_each_fault_is_told_once_with_its_time_and_late_ones_by_their_count(told):
    for episodes, _, forms in told:
        text = " ".join([*forms["course"], *forms["finding"]])
        late = spans(episodes, "slow_to_follow")
        others = spans(episodes).drop(late.index)
        for start, end in others[["start_s", "end_s"]].to_numpy():
            at = r"the start|0:\d\d" if start <= 20 else clock(start)
            whole = "from start to end" in text and len(others) == 1
            assert whole or re.search(rf"\b({at})\b", text), (start, end, text)
        if len(late):
            found = re.search(
                rf"was late (?:once, at {CLOCK}|(twice|\d+)(?: times)?), for {LENGTH}", text
            )
            assert ({None: 1, "twice": 2}.get(found[2]) or int(found[2])) == len(late)
            assert seconds(found[3]) == (late["end_s"] - late["start_s"]).sum()
        every = re.split(r"(?<=\.) (?=[A-Z])", text)
        assert len(set(every)) == len(every)


def test_each_event_is_told_with_its_time(told, low_with_spikes):
    seen = 0
    for episodes, _, forms in told + low_with_spikes:
        text = " ".join([*forms["course"], *forms["finding"]])
        for start in episodes.loc[episodes["part_of_s"].notna(), "start_s"]:
            assert f"at {clock(start)}" in text
            seen += 1
    assert seen >= 6


def test_no_sentence_has_more_than_25_words(told):
    for _, _, forms in told:
        for form in ("line", "course", "finding", "aside"):
            assert all(len(sentence.split()) <= 25 for sentence in forms.get(form, ())), form


def test_read_aloud_in_a_minute_and_without_signs(told):
    for _, _, forms in told:
        (text,) = forms["aloud"]
        assert 40 <= len(text.split()) <= MOST_WORDS
        assert not re.search(r"[%−+]|\d:\d|\bbpm\b|\bmin\b|\d s\b", text)


def test_no_more_is_said_in_a_sentence_than_a_breath_holds(told, low_with_spikes):
    said = []
    for found, course, forms in told + low_with_spikes:
        said += [*forms["aloud"], *brief_aloud("Watch one", course, found, None)]
    for sentence in [each for text in said for each in re.split(r"(?<=\.) (?=[A-Z])", text)]:
        assert len(sentence.split()) <= 25, sentence


def test_each_sentence_read_aloud_stands_alone(told, low_with_spikes):
    """None points at one that there was no room for; how far off it was comes first."""
    for _, _, forms in told + low_with_spikes:
        first, *others = re.split(r"(?<=\.) (?=[A-Z])", forms["aloud"][0])
        assert "off on average" in first
        pointing = ("It did so again", "In that time", "That ", "Then", "In between", "And again")
        assert not [one for one in others if one.startswith(pointing) or "as in between" in one]


def test_a_level_told_has_the_sign_of_its_kind(told):
    for episodes, _, _ in told:
        for kind, sign in (("reads_low", -1), ("reads_high", 1)):
            assert (sign * spans(episodes, kind)["mean_error_bpm"] > 0).all()


def test_no_interval_and_no_p_is_said_aloud_but_what_they_rest_on():
    assert in_breaths(
        "Which of Slate and Copper is closer in the typical session is not yet known: here one was "
        "closer (99.2 % interval −8.4 to 6.5 bpm; p over all pairs 0.422; 8 sessions, 2 wearers)."
    ) == (
        "Which of Slate and Copper is closer in the typical session is not yet known: here one was "
        "closer, in 8 sessions of 2 wearers."
    )
    assert in_breaths("It was late for 4 min (9 sessions, one wearer).") == (
        "It was late for 4 minutes, in 9 sessions of one wearer."
    )
    assert in_breaths("Its bias was +7.8 bpm in 2 runs (p of no difference 0.001).") == (
        "Its bias was plus 7.8 beats a minute in 2 runs."
    )


def test_asides_in_brackets_are_said_between_commas():
    assert spoken("It came back at 1:00 (5 %); from 2:00 (10 %) it was low to 3:00 (15 %).") == (
        "It came back at 1 minute, 5 percent; from 2 minutes, 10 percent, it was low to 3 minutes, "
        "15 percent."
    )


def test_what_is_too_long_to_say_is_parted_or_says_less():
    low = "then read 47 bpm low on average for 10 min 16 s"
    parted = in_breaths(f"It followed the strap, but late, to 3:03 (15 % of it), {low}.")
    assert parted == (
        "It followed the strap, but late, to 3 minutes 3 seconds, 15 percent of it. Then it read "
        "47 beats a minute low on average for 10 minutes 16 seconds."
    )
    stuck = "it was stuck on one value and up to 25 bpm off"
    assert in_breaths(f"From 12:39 (58 %) to 13:34 (62 %) {stuck}.") == (
        "From 12 minutes 39 seconds to 13 minutes 34 seconds it was stuck on one value and up to "
        "25 beats a minute off."
    )


def test_signs_and_units_are_said_in_words():
    assert spoken("off for 9.1 min and 1 min") == "off for 9.1 minutes and 1 minute"
    assert spoken("From 0:00 to 1:20, or 1:02:05, −22 bpm, +3 bpm, 40 % of 1 min 10 s.") == (
        "From the start to 1 minute 20 seconds, or 1 hour 2 minutes, minus 22 beats a minute, "
        "plus 3 beats a minute, 40 percent of 1 minute 10 seconds."
    )


def test_all_of_a_session_is_accounted_for(told):
    for episodes, course, _ in told:
        in_episodes = (spans(episodes)["end_s"] - spans(episodes)["start_s"]).sum()
        assert in_episodes == course["episodes_s"]
        parts = course[["episodes_s", "on_track_s", "not_compared_s"]]
        assert parts.sum() == course["length_s"]
        assert course[list(PARTS)].sum() == course["not_compared_s"]


def test_times_of_the_day_and_of_the_session_agree(told):
    for episodes, _, _ in told:
        span = (episodes["end"] - episodes["start"]).dt.total_seconds()
        np.testing.assert_array_equal(span, episodes["end_s"] - episodes["start_s"])


def test_a_session_without_a_fault_is_told_in_numbers_too(intake):
    """A heart at 120 bpm with one rise, a device 1 bpm above, and 20 s it lacks."""
    seconds_ = np.arange(900)
    heart = np.where((seconds_ >= 300) & (seconds_ < 420), 150.0, 120.0)
    compared = seconds_ < 880
    size = seconds_.size
    aligned = ALIGNED.frame(
        {
            "recording": np.full(size, "watch", dtype=object),
            "device": np.full(size, "watch", dtype=object),
            "alignment": np.full(size, "settled", dtype=object),
            "time": pd.Timestamp("2026-03-04T17:00:00", tz="UTC")
            + pd.to_timedelta(seconds_, unit="s"),
            "reference_bpm": heart,
            "device_bpm": heart + 1,
            "status": np.where(compared, "compared", "no_reference"),
            "stands_for_s": np.ones(size),
        }
    )
    tables = session_episodes(aligned, {}, intake, Episodes(), Tolerance())
    texts = session_sentences(*tables, intake)
    assert texts.loc[texts["form"] == "finding", "text"].tolist() == [
        f"No fault of {len(KINDS) - 2} kinds was found in the 14 min 40 s that could be compared.",
        "It found the strap’s rate at once and held it for 30 s and more.",
        "It reached the strap’s only peak to within 5 bpm.",
    ]
