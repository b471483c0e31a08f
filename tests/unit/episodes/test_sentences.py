"""Every number in a sentence is read back and compared with the tables."""

import re

import numpy as np
import pandas as pd
import pytest

from strapline.episodes.sentences import DID, MOST_WORDS, spoken
from strapline.episodes.session_episodes import session_episodes
from strapline.episodes.session_sentences import session_sentences
from strapline.settings import Episodes, Tolerance
from unit.episodes.invented import session

SEEDS = range(30_000, 30_024)
CLOCK = r"((?:\d+:)?\d+:\d\d)"
LENGTH = r"((?:\d+ h ?)?(?:\d+ min ?)?(?:\d+ s)?)"
NUMBER = r"([−+]?\d+(?:\.\d+)?)"
KINDS = {deed: kind for kind, deed in DID.items()}


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


def check_lock(episodes, course, hold, at):
    assert (hold, seconds(at)) == ("30", course["first_lock_s"])


def check_no_lock(episodes, course, hold):
    assert pd.isna(course["first_lock_s"])


def check_settled(episodes, course, at, share):
    assert (seconds(at), share) == (course["settled_s"], "95")


def check_unsettled(episodes, course, share):
    assert pd.isna(course["settled_s"])


def check_kind(episodes, course, deed, count, total, peak=None):
    own, length = of_kind(episodes, KINDS[deed])
    assert int(count) == len(own)
    assert seconds(total) == length
    assert (peak is None) == (KINDS[deed] == "no_value")
    if peak is not None:
        assert number(peak) == round(own["peak_error_bpm"].abs().max())


def check_none(episodes, course, count):
    assert int(count) == len(episodes) == 0


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


def check_peaks(episodes, course, peaks, reached, within):
    assert (int(peaks), int(reached)) == (course["peaks"], course["peaks_reached"])
    assert within == "5"


SENTENCES = {
    rf"Of {LENGTH}, Watch one was on track for {NUMBER} %, not right for {NUMBER} % and not "
    rf"compared for {NUMBER} %\.": check_account,
    rf"It was first near the reference, for {NUMBER} s on end, from {CLOCK}\.": check_lock,
    rf"At no time was it near the reference for {NUMBER} s on end\.": check_no_lock,
    rf"From {CLOCK} to the end it was on track for {NUMBER} % of the time\.": check_settled,
    rf"There is no moment from which on it was on track for {NUMBER} % of the time\.": (
        check_unsettled
    ),
    rf"({'|'.join(KINDS)}) (\d+) times?, {LENGTH} in all"
    rf"(?:, and was {NUMBER} bpm off at most)?\.": check_kind,
    r"It had (\d+) episodes of any kind\.": check_none,
    rf"The worst was from {CLOCK} to {CLOCK}: {NUMBER} bpm on average, {NUMBER} bpm at most\.": (
        check_worst
    ),
    rf"Its longest time on track was {LENGTH}, from {CLOCK}, and {NUMBER} bpm off on average\.": (
        check_longest
    ),
    r"Of (\d+) peaks? of the reference it reached (\d+), to within (\d+) bpm\.": check_peaks,
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
    assert len(used) >= 7


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


def test_times_of_the_day_and_of_the_session_agree(told):
    for episodes, _, _ in told:
        span = (episodes["end"] - episodes["start"]).dt.total_seconds()
        np.testing.assert_array_equal(span, episodes["end_s"] - episodes["start_s"])
