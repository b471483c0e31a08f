"""Ten sessions of the demo, two of each activity: what is told of them is what was simulated."""

import math
import re
from itertools import groupby

import numpy as np
import pytest

from strapline.demo.bench import Bench
from strapline.ground.documents import load
from strapline.ground.records.intake import read_intake
from strapline.ground.settings import Episodes, Tolerance
from strapline.ground.tables.sessions import ALIGNED, COURSES
from strapline.ground.words import clock, lasting, number, share
from strapline.method.episodes import kinds
from strapline.method.episodes.not_compared import PARTS
from strapline.method.episodes.sentences import untested
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from strapline.method.signal.spans import hysteresis, within
from workflow.demo_truth import told

EACH = 2
LASTING_S = 10
TO_S = 2
SPIKE_S = 7
LENGTHS = range(SPIKE_S - TO_S, SPIKE_S + TO_S + 1)
SETTINGS = Episodes()
# A wandering sensor passes a limit where its noise takes it: so many SDs, and half of the whole
# bpm that it stores. The strap's own noise is in there too.
NOISE_SDS, ROUNDED_BPM = 3, 0.5
CLOCK = r"(?:\d+:)?\d+:\d\d"
LENGTH = r"(?<![.\d])(?:\d+ h(?: \d+ min)?|\d+ min(?: \d+ s)?|\d+ s)\b"
NUMBER = r"\d+(?:\.\d+)?"


@pytest.fixture(scope="module")
def bench(repository):
    return load(repository / "config/demo/bench.yaml", Bench)


@pytest.fixture(scope="module")
def chosen(bench):
    in_order = sorted(bench.sessions, key=lambda session: (session.activity, session.start))
    groups = [list(own) for _, own in groupby(in_order, key=lambda session: session.activity)]
    chosen = [session for own in groups for session in own[:EACH]]
    assert len(chosen) == 10
    return chosen


@pytest.fixture(scope="module")
def sessions(demo, bench, chosen):
    return [each for session in chosen for each in told(bench, session, demo[0] / "results/demo")]


def passes(known, second, noise_bpm):
    """Whether the noise-free error passes a limit about `second`, or begins or ends there."""
    around = slice(max(second - TO_S - 1, 0), second + TO_S + 1)
    size = np.abs(known.error_bpm[around])
    if np.isnan(size).any() or second <= TO_S or second >= known.error_bpm.size - TO_S:
        return True
    limits = SETTINGS.leave_bpm, SETTINGS.enter_bpm
    return any(size.min() - noise_bpm <= limit <= size.max() + noise_bpm for limit in limits)


def with_an_error(known):
    """Those that begin and end with it."""
    spans = known.spans[~known.spans["kind"].isin(["no_value", "slow_to_follow", "stuck"])]
    return spans[spans["end_s"] - spans["start_s"] >= LASTING_S]


def test_a_fault_begins_and_ends_where_the_noise_free_error_passes_a_limit(sessions):
    exact = []
    for known in sessions:
        noise = NOISE_SDS * known.noise_bpm + ROUNDED_BPM
        for moment in with_an_error(known)[["start_s", "end_s"]].to_numpy().ravel():
            assert passes(known, moment, noise), (known.label, moment)
            exact.append(passes(known, moment, 0))
    assert len(exact) > 50
    assert np.mean(exact) >= 0.8


def test_a_value_that_stays_is_told_from_its_first_second_to_its_last(sessions):
    seen = 0
    for known in sessions:
        stuck = known.spans[known.spans["kind"] == "stuck"]
        for start, end in stuck[["start_s", "end_s"]].to_numpy():
            assert np.ptp(known.device_bpm[start + TO_S : end - TO_S]) == 0
            for edge in (start, end):
                first = not known.compared[:edge].any()
                assert first or np.ptp(known.device_bpm[edge - TO_S : edge + TO_S]) > 0
            seen += 1
    assert seen >= 3


def test_each_true_fault_is_told_with_its_time(sessions):
    """Beyond noise, for ten seconds and more; late ones are told by count and minutes."""
    limits = SETTINGS.enter_bpm, SETTINGS.leave_bpm, SETTINGS.bridge_s
    seen = 0
    for known in sessions:
        size, noise = np.abs(known.error_bpm), NOISE_SDS * known.noise_bpm
        beyond = SETTINGS.leave_bpm + noise
        for start, end in hysteresis(size, *limits):
            large = np.nanmax(size[start:end]) >= SETTINGS.enter_bpm + noise
            if end - start < LASTING_S or not large:
                continue
            there = known.spans[(known.spans["start_s"] < end) & (known.spans["end_s"] > start)]
            # A sensor that wanders may come back where the error is hardly beyond the limit.
            clear = start + np.flatnonzero(size[start:end] >= beyond)
            told_in = within(there[["start_s", "end_s"]].to_numpy(), size.size)
            assert told_in[clear].mean() >= 0.95, (known.label, start, end)
            for _, span in there.iterrows():
                assert span["kind"] == "slow_to_follow" or told_at(known, span["start_s"])
            seen += 1
    assert seen > 60


def told_at(known, second):
    early = second <= 20 and "From the start" in known.text
    return early or clock(second) in known.text or "from start to end" in known.text


def test_what_is_late_is_told_by_count_and_minutes(sessions):
    """Where a device does nothing but run late, its minutes are those of the noise-free error."""
    seen = 0
    for known in sessions:
        late = known.spans[known.spans["kind"] == "slow_to_follow"]
        told_s = (late["end_s"] - late["start_s"]).sum()
        often = {0: None, 1: "once", 2: "twice"}.get(len(late), f"{len(late)} times")
        if often:
            assert re.search(rf"late {often}\b.*? for {lasting(told_s)}\b", known.text)
        if len(late) > 3 and len(late) == len(known.spans):
            limits = SETTINGS.enter_bpm, SETTINGS.leave_bpm, SETTINGS.bridge_s
            spans = hysteresis(np.abs(known.error_bpm), *limits)
            assert told_s == pytest.approx(sum(end - start for start, end in spans), rel=0.2)
            seen += 1
    assert seen >= 2


def test_each_loss_of_contact_and_each_event_is_told(sessions):
    seen = 0
    for known in sessions:
        starts = known.spans.loc[known.spans["kind"] == "no_value", "start_s"].to_numpy()
        for start, end in known.lost_s:
            if end - start >= LASTING_S + TO_S:
                assert np.abs(starts - start).min() <= TO_S
                seen += 1
        events = known.episodes[known.episodes["part_of_s"].notna()]
        moments = [*starts, *events["start_s"], *spikes(known)["start_s"]]
        assert all(told_at(known, moment) for moment in moments)
    assert seen >= 6


def spikes(known):
    return known.episodes[known.episodes["kind"] == "spike"]


def test_each_spike_laid_into_a_session_is_told(chosen, demo):
    """Up by 45 bpm for 7 s in the midst of each device's longest time on track, and down after."""
    seen = 0
    for session in chosen:
        folder = demo[0] / "results/demo/sessions" / session.name
        courses = COURSES.read(str(folder / "courses.parquet"))
        rows = ALIGNED.read(str(folder / "aligned.parquet"))
        laid = {}
        for _, course in courses.iterrows():
            own = (rows["recording"] == course["recording"]) & (rows["alignment"] == "settled")
            start, end = int(course["longest_start_s"]), int(course["longest_end_s"])
            places = rows.index[own]
            laid[course["recording"]] = up, down = (2 * start + end) // 3, (start + 2 * end) // 3
            rows.loc[places[up : up + SPIKE_S], "device_bpm"] += 45
            rows.loc[places[down : down + SPIKE_S], "device_bpm"] -= 45
        intake = read_intake(str(folder / "intake.json"))
        tables = session_episodes(rows, {}, intake, SETTINGS, Tolerance())
        texts = session_sentences(*tables, intake)
        for recording, (up, down) in laid.items():
            own = " ".join(texts.loc[texts["recording"] == recording, "text"])
            for word, second in (("spiked to", up), ("dropped by", down)):
                near = range(second - TO_S, second + TO_S + 1)
                when = "|".join(f"{clock(one)} for {long} s" for one in near for long in LENGTHS)
                assert re.search(rf"{word} .*?at (?:{when})", own), (session.name, recording)
                seen += 1
    assert seen == 40


def test_averages_and_maxima_are_the_simulations(sessions):
    """Of what the device stored, and of the true heart rate; a strap's beats scatter about it."""
    for known in sessions:
        found = re.findall(
            rf"averaged ({NUMBER}) bpm against the strap’s ({NUMBER}) .*? peaked at ({NUMBER})",
            " ".join(known.forms["line"]),
        )
        mean, strap, top = (float(each) for each in found[0])
        assert mean == pytest.approx(known.device_bpm[known.compared].mean(), abs=1.0)
        assert strap == pytest.approx(known.strap_bpm[known.compared].mean(), abs=1.0)
        assert top <= known.device_bpm[known.compared].max()
        assert top >= np.sort(known.device_bpm[known.compared])[-60]


def test_a_moment_has_its_share_of_the_workout(sessions):
    seen = 0
    for known in sessions:
        for at, percent in re.findall(rf"({CLOCK}) \((\d+) %", known.text):
            minutes, seconds = (int(part) for part in at.split(":"))
            true = 100 * (60 * minutes + seconds) / known.error_bpm.size
            assert float(percent) == pytest.approx(true, abs=0.51)
            seen += 1
    assert seen > 40


def test_no_sentence_has_more_than_25_words(sessions):
    for known in sessions:
        for form in ("line", "course", "finding", "aside"):
            assert all(len(each.split()) <= 25 for each in known.forms.get(form, ()))
        aloud = re.split(r"(?<=\.)\s+", known.forms["aloud"][0])
        assert all(len(sentence.split()) <= 25 for sentence in aloud)


def test_no_number_is_told_that_the_tables_do_not_hold(sessions):
    for known in sessions:
        moments, lengths, percents, figures = held(known)
        forms = ("title", "line", "course", "finding", "aside")
        for sentence in [each for form in forms for each in known.forms.get(form, ())]:
            # '40 to 55 s' is two lengths.
            rest = re.sub(r"(\d+) to (\d+ (?:s|min)\b)", r"\1 s to \2", sentence)
            for pattern, allowed in (
                (CLOCK, moments),
                (rf"{NUMBER} %", percents),
                (LENGTH, lengths),
                (NUMBER, figures),
            ):
                assert set(re.findall(pattern, rest)) <= allowed, (sentence, known.label)
                rest = re.sub(pattern, "", rest)


def delays(decided):
    """Whole seconds behind, and the interval outwards, as sure as the clock is."""
    told = [each for each in (decided.delay, decided.rising, decided.falling) if each]
    found = {round(abs(each.delay_s)) for each in told}
    for each in told:
        known = each.by_clock(decided.within_s)
        low, high = sorted(
            math.copysign(1, each.delay_s) * end for end in (known.low_s, known.high_s)
        )
        found |= {abs(math.floor(low)), math.ceil(high)}
        found.add(max(math.ceil(max(abs(low), abs(high))), 1))
    if decided.uneven:
        found.add(math.floor(max(decided.uneven.low_s, -decided.uneven.high_s, 0)))
    return found | {int(second) for second in re.findall(r"\d+", decided.ground)}


def held(known):
    """Moments, lengths, percentages, and other figures, as they may be written."""
    course, episodes = known.course, known.episodes
    length = course["length_s"]
    moments = ["start_s", "end_s", "off_from_s", "drift_from_s"]
    at = set(episodes[moments].to_numpy().ravel())
    at |= {course["maximum_at_s"], course["longest_start_s"], course["began_s"]}
    at |= {length - course["after_s"]}
    durations = episodes["end_s"] - episodes["start_s"]
    # A title has the time of each kind.
    totals = durations[known.spans.index].groupby(known.spans["kind"].astype(str)).sum()
    lengths = {*durations, *totals, 30, *course[list(PARTS)]}
    lengths |= set(course[["length_s", "on_track_s", "compared_s"]])
    lengths |= {course["longest_end_s"] - course["longest_start_s"]}
    lengths |= {course["first_lock_s"] - course["began_s"]}
    lengths = {lasting(each) for each in lengths if each == each}
    lengths |= {f"{second} s" for second in delays(known.clock)}
    means = course["mean_device_bpm"] - course["mean_reference_bpm"]
    tops = course["maximum_device_bpm"] - course["maximum_reference_bpm"]
    changes = means / course["mean_reference_bpm"], tops / course["maximum_reference_bpm"]
    percents = {share(moment / length) for moment in at if moment == moment}
    parts = course[["on_track_s", "episodes_s", "not_compared_s"]] / length
    percents |= {share(part) for part in parts}
    percents |= {f"{number(abs(100 * c), decimals=d)} %" for c in changes for d in (0, 1)}
    percents |= {f"{number(abs(p), decimals=0)} %" for p in episodes["in_step_percent"].dropna()}
    rates = [*course.filter(like="_bpm"), means, tops]
    rates += [*episodes["mean_error_bpm"], *episodes["peak_error_bpm"], *episodes["highest_bpm"]]
    rates += [*episodes["drift_from_bpm"], *episodes["drift_to_bpm"]]
    figures = {number(abs(rate), decimals=d).removesuffix(".0") for rate in rates for d in (0, 1)}
    figures |= {number(abs(rate)) for rate in rates}
    counts = [*known.spans["kind"].value_counts(), *course.filter(like="peaks")]
    counts += [course["peaks"] - course["peaks_reached"] - course["peaks_overshot"]]
    spikes_up = episodes.loc[episodes["kind"] == "spike", "peak_error_bpm"] > 0
    counts += [spikes_up.sum(), (~spikes_up).sum()]
    counts += [5, len({*kinds.in_order()} - {"slow_to_follow", *untested(course)})]
    return {clock(m) for m in at if m == m}, lengths, percents, figures | {f"{c:g}" for c in counts}
