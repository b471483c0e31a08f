"""Sentences, title, lanes, counts and minutes of generated sessions come from the same spans."""

import re

import pandas as pd
import pytest

from strapline.ground.settings import OverAll
from strapline.ground.vocabulary import ALL_ACTIVITIES, ANY_KIND, Fault
from strapline.ground.words import clock, lasting
from strapline.method.episodes import kinds
from strapline.method.episodes.faults import faults
from strapline.telling.charts.traces import summary
from unit.episodes.invented import session
from unit.episodes.telling import low_with_a_spike, tell

pytestmark = pytest.mark.slow

SEEDS = range(40_000, 40_014)


@pytest.fixture(scope="module")
def sessions(intake):
    generated = [session(seed) for seed in SEEDS]
    return [tell(each, intake) for each in [*generated, *map(low_with_a_spike, generated[:6])]]


def spans_of(episodes):
    return episodes[episodes["part_of_s"].isna()]


def test_generated_sessions_have_what_can_differ(sessions):
    spans = [len(spans_of(episodes)) for episodes, _, _ in sessions]
    assert min(spans) <= 3 and max(spans) >= 8
    assert sum(episodes["part_of_s"].notna().sum() for episodes, _, _ in sessions) >= 5
    assert any(" times, the last time" in " ".join(forms["course"]) for _, _, forms in sessions)


def test_heads_of_lanes_count_what_the_table_holds(sessions):
    for episodes, _, _ in sessions:
        said = {}
        for part in summary(episodes).split("; "):
            lane, often, lasted = re.fullmatch(r"(.*) (once|twice|\d+ times), (.*)", part).groups()
            said[lane] = (often.replace("once", "1 times").replace("twice", "2 times"), lasted)
        for kind, own in episodes.astype({"kind": str}).groupby("kind"):
            total = lasting((own["end_s"] - own["start_s"]).sum())
            assert said.pop(kinds.kind(kind).lane) == (f"{len(own)} times", total)
        assert not said


def test_counts_and_minutes_over_sessions_are_those_of_the_spans(sessions):
    for episodes, course, _ in sessions:
        found = faults(episodes, course.to_frame().T.astype({"length_s": int}), 60, OverAll())
        table = found[found["activity"] == ALL_ACTIVITIES].set_index("kind")
        spans = spans_of(episodes)
        is_late = spans["kind"] == Fault.SLOW_TO_FOLLOW
        in_late = episodes["part_of_s"].isin(spans.loc[is_late, "start_s"])
        counted = pd.concat([spans[~is_late], episodes[in_late]])
        assert table.loc[ANY_KIND, "episodes"] == len(counted)
        for kind in kinds.in_order():
            assert table.loc[kind, "episodes"] == (episodes["kind"] == kind).sum()
        minutes = (counted["end_s"] - counted["start_s"]).sum() / 60
        judged = (course["episodes_s"] + course["on_track_s"]) / 3600
        assert table.loc[ANY_KIND, "minutes_per_hour"] == pytest.approx(minutes / judged)


def test_sentences_tell_as_many_faults_as_there_are(sessions):
    """Late ones and repeated ones by their number, all others by the moment they begin."""
    for episodes, course, forms in sessions:
        text = " ".join([*forms["course"], *forms["finding"]])
        by_number = [int(n) for n in re.findall(r"(\d+) times", text)]
        by_number += [
            {"once": 1, "twice": 2}[n] for n in re.findall(r"was late (once|twice)", text)
        ]
        spans = spans_of(episodes)
        repeated = {n for group in re.findall(r"They began at (.*?)\.(?: Then at (.*?)\.)?", text)
                    for part in group for n in re.findall(r"[\d:]+", part)}  # fmt: skip
        late = spans["kind"] == "slow_to_follow"
        alone = [
            start
            for start in spans.loc[~late, "start_s"]
            if clock(start) not in repeated and begins(start, course, text)
        ]
        assert sum(by_number) + len(alone) == len(spans), text


def begins(start, course, text):
    early = start <= course["began_s"] + 20 and re.search("From the start|from start to end", text)
    return early or re.search(rf"(?<![\d:]){clock(start)}(?![\d:])", text)


def test_the_title_names_spans_of_the_table(sessions):
    for episodes, _, forms in sessions:
        moments = set(re.findall(r"(?:\d+:)?\d+:\d\d", forms["title"][0]))
        assert moments <= {clock(each) for each in (*episodes["start_s"], *episodes["end_s"])}
