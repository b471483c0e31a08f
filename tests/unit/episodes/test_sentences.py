"""Every number in a sentence is read back and compared with the tables."""

import re

import numpy as np
import pandas as pd
import pytest

from strapline.ground.settings import Episodes, Tolerance
from strapline.ground.tables.sessions import ALIGNED
from strapline.method.episodes import kinds
from strapline.method.episodes.not_compared import PARTS
from strapline.method.episodes.sentences import MOST_WORDS, spoken, untested
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from unit.episodes.invented import session

SEEDS = range(30_000, 30_024)
CLOCK = r"((?:\d+:)?\d+:\d\d)"
LENGTH = r"((?:\d+ h ?)?(?:\d+ min ?)?(?:\d+ s)?)"
NUMBER = r"([−+]?\d+(?:\.\d+)?)"
KINDS = {kind.deed: kind.key for kind in kinds.KINDS}


@pytest.fixture(scope="module")
def told(intake):
    """Episodes, course and sentences by form, of some invented sessions."""
    found = []
    for seed in SEEDS:
        known = session(seed)
        cadences = {"watch": known.view.cadence_per_min}
        tables = session_episodes(known.aligned, cadences, intake, Episodes(), Tolerance())
        texts = session_sentences(*tables, intake)
        forms = texts.groupby("form", observed=True)["text"].apply(list).to_dict()
        found.append((tables[0], tables[1].iloc[0], forms))
    return found


def seconds(text):
    if ":" in text:
        parts = [int(part) for part in text.split(":")]
        return sum(value * 60**power for power, value in enumerate(reversed(parts)))
    units = {"h": 3600, "min": 60, "s": 1}
    return sum(int(n) * units[unit] for n, unit in re.findall(r"(\d+) (h|min|s)", text))


def number(text):
    return float(text.replace("−", "-"))


def of_kind(episodes, kind):
    own = episodes[episodes["kind"] == kind]
    return own, (own["end_s"] - own["start_s"]).sum()


def check_account(episodes, course, total, *shares):
    assert seconds(total) == pytest.approx(course["length_s"], abs=59 * (" h" in total))
    columns = ("on_track_s", "episodes_s", "not_compared_s")
    for share, column in zip(shares, columns, strict=True):
        assert number(share) == pytest.approx(100 * course[column] / course["length_s"], abs=0.51)


def check_lock(episodes, course, took, hold):
    assert (hold, seconds(took)) == ("30", course["first_lock_s"])


def check_lock_at_once(episodes, course, hold):
    assert (hold, course["first_lock_s"]) == ("30", 0)


def check_no_lock(episodes, course, hold):
    assert pd.isna(course["first_lock_s"])


def check_settled(episodes, course, at, share):
    assert (seconds(at), share) == (course["settled_s"], "95")


def check_halves(episodes, course, early, late):
    wrong = np.zeros(course["length_s"], dtype=bool)
    for start, end in zip(episodes["start_s"], episodes["end_s"], strict=True):
        wrong[start:end] = True
    half = course["length_s"] // 2
    assert pd.isna(course["settled_s"]) or course["settled_s"] == 0
    assert (seconds(early), seconds(late)) == (wrong[:half].sum(), wrong[half:].sum())


def check_second(episodes, course, late):
    check_halves(episodes, course, "0 s", late)


def check_first(episodes, course, early):
    check_halves(episodes, course, early, "0 s")


def check_kind(episodes, course, deed, often, count, total, in_all, peak=None):
    own, length = of_kind(episodes, KINDS[deed])
    assert int(count or 1) == len(own)
    assert (often == "once") == (len(own) == 1) == (in_all is None)
    assert seconds(total) == length
    assert (peak is None) == (KINDS[deed] == "no_value")
    if peak is not None:
        assert number(peak) == round(own["peak_error_bpm"].abs().max())


def check_right(episodes, course, total):
    assert len(episodes) == 0
    assert seconds(total) == course["on_track_s"]


def check_none(episodes, course, count):
    assert len(episodes) == 0
    assert int(count) == len(KINDS) - len(untested(course))


def check_not_compared(episodes, course, total, aside):
    assert seconds(total) == pytest.approx(course["length_s"], abs=59 * (" h" in total))
    assert seconds(aside) == course["not_compared_s"]


def check_worst(episodes, course, start, end, mean, peak):
    named = episodes[(episodes["start_s"] == seconds(start)) & (episodes["end_s"] == seconds(end))]
    (row,) = named.to_dict("records")
    assert number(mean) == round(row["mean_error_bpm"])
    assert number(peak) == round(row["peak_error_bpm"])
    size = (episodes["mean_error_bpm"] * (episodes["end_s"] - episodes["start_s"])).abs()
    assert size.max() == pytest.approx(abs(row["mean_error_bpm"]) * (row["end_s"] - row["start_s"]))


def check_longest(episodes, course, length, start, error):
    assert seconds(start) == course["longest_start_s"]
    assert seconds(length) == course["longest_end_s"] - course["longest_start_s"]
    assert number(error) == pytest.approx(course["longest_error_bpm"], abs=0.051)


def check_peaks(episodes, course, reached, peaks, within):
    assert {"none": 0, "all": int(peaks)}.get(reached, reached) in (
        course["peaks_reached"],
        str(course["peaks_reached"]),
    )
    assert (int(peaks), within) == (course["peaks"], "5")


def check_only_peak(episodes, course, did, within):
    assert (course["peaks"], did == "reached") == (1, course["peaks_reached"] == 1)
    assert within == "5"


SENTENCES = {
    rf"Of {LENGTH}, Watch one was on track for {NUMBER} %, not right for {NUMBER} % and not "
    rf"compared for {NUMBER} %\.": check_account,
    rf"Watch one was on track in all {LENGTH} that could be compared\.": check_right,
    r"None of the (\d+) kinds of fault that could be looked for was found\.": check_none,
    rf"Of the session’s {LENGTH}, {LENGTH} could not be compared\.": check_not_compared,
    rf"It took {LENGTH} to come near the reference for {NUMBER} s on end\.": check_lock,
    rf"It was near the reference from the start, for {NUMBER} s and more\.": check_lock_at_once,
    rf"At no time was it near the reference for {NUMBER} s on end\.": check_no_lock,
    rf"From {CLOCK} to the end it was on track for {NUMBER} % of the time\.": check_settled,
    rf"It was not right for {LENGTH} of the first half, and for {LENGTH} of the second\.": (
        check_halves
    ),
    rf"It was right throughout the first half, and not for {LENGTH} of the second\.": check_second,
    rf"It was not right for {LENGTH} of the first half, and right in the second\.": check_first,
    rf"({'|'.join(KINDS)}) (once|(\d+) times), for {LENGTH}( in all)?"
    rf"(?:, and was {NUMBER} bpm off at most)?\.": check_kind,
    rf"The worst was from {CLOCK} to {CLOCK}: {NUMBER} bpm on average, {NUMBER} bpm at most\.": (
        check_worst
    ),
    rf"Its longest time on track was {LENGTH}, from {CLOCK}, and {NUMBER} bpm off on average\.": (
        check_longest
    ),
    r"It reached (none|all|\d+) of the reference’s (\d+) peaks, to within (\d+) bpm\.": (
        check_peaks
    ),
    r"It (reached|did not reach) the reference’s only peak, to within (\d+) bpm\.": (
        check_only_peak
    ),
}


def test_every_sentence_says_what_the_tables_hold(told):
    used = set()
    for episodes, course, forms in told:
        for sentence in forms["finding"]:
            matches = [(p, m) for p in SENTENCES if (m := re.fullmatch(p, sentence))]
            assert len(matches) == 1, sentence
            pattern, match = matches[0]
            SENTENCES[pattern](episodes, course, *match.groups())
            used.add(pattern)
    assert len(used) >= 9


def test_five_to_eight_findings_with_a_number_in_each(told):
    for _, _, forms in told:
        assert 5 <= len(forms["finding"]) <= 8
        assert all(re.search(r"\d", sentence) for sentence in forms["finding"])


def test_the_kinds_that_took_most_time_are_told(told):
    for episodes, _, forms in told:
        lengths = episodes["end_s"] - episodes["start_s"]
        totals = lengths.groupby(episodes["kind"].astype(str)).sum().sort_values()
        text = " ".join(forms["finding"])
        mentioned = {kind for deed, kind in KINDS.items() if f"{deed} " in text}
        assert len(mentioned) == min(2, len(totals))
        if len(totals) > 2:
            assert totals[list(mentioned)].min() >= totals.drop(list(mentioned)).max()


def test_the_line_names_time_on_track_and_the_longest_kind(told):
    for episodes, course, forms in told:
        (line,) = forms["line"]
        share, total = re.match(
            rf"Watch one was on track for {NUMBER} % of {LENGTH}[;,]", line
        ).groups()
        assert number(share) == pytest.approx(
            100 * course["on_track_s"] / course["length_s"], abs=0.51
        )
        assert seconds(total) == course["length_s"]
        if len(episodes):
            lasted = seconds(re.search(rf"for {LENGTH} in all\.$", line)[1])
            lengths = (episodes["end_s"] - episodes["start_s"]).groupby(
                episodes["kind"].astype(str)
            )
            assert lasted == lengths.sum().max()


def test_moments_in_the_course_are_the_tables(told):
    """Starts and ends of phases are starts and ends of episodes, or the first lock."""
    seen = 0
    for episodes, course, forms in told:
        (sentence,) = forms["course"]
        moments = {seconds(text) for text in re.findall(CLOCK, sentence)}
        known = {*episodes["start_s"], *episodes["end_s"], course["first_lock_s"]}
        assert moments <= known
        seen += len(moments)
    assert seen > 40


def test_read_aloud_in_a_minute_and_without_signs(told):
    for _, _, forms in told:
        (text,) = forms["aloud"]
        assert 40 <= len(text.split()) <= MOST_WORDS
        assert not re.search(r"[%−+]|\d:\d|\bbpm\b|\bmin\b|\d s\b", text)


def test_signs_and_units_are_said_in_words():
    assert spoken("From 0:00 to 1:20, or 1:02:05, −22 bpm, +3 bpm, 40 % of 1 min 10 s.") == (
        "From the start to 1 minute 20 seconds, or 1 hour 2 minutes, minus 22 beats a minute, "
        "plus 3 beats a minute, 40 percent of 1 minute 10 seconds."
    )


def test_all_of_a_session_is_accounted_for(told):
    for episodes, course, _ in told:
        in_episodes = (episodes["end_s"] - episodes["start_s"]).sum()
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
        "Watch one was on track in all 14 min 40 s that could be compared.",
        "None of the 6 kinds of fault that could be looked for was found.",
        "Of the session’s 15 min, 20 s could not be compared.",
        "It was near the reference from the start, for 30 s and more.",
        "Its longest time on track was 14 min 40 s, from 0:00, and 1.0 bpm off on average.",
        "It reached the reference’s only peak, to within 5 bpm.",
    ]
