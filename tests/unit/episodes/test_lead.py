"""What is said first: over which seconds, and what explains the error."""

import numpy as np
import pandas as pd
import pytest

from intakes import recording, session, strap
from strapline.ground.settings import Episodes, Tolerance
from strapline.method.episodes.lead import error_and_delay, lead
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from unit.episodes import story

INTAKE = session(strap(), recording("wrist"), recording("watch"), recording("short"))


def courses(**devices):
    tables = session_episodes(story.aligned(**devices), {}, INTAKE, Episodes(), Tolerance())
    return tables, tables[1].set_index("recording")


def test_devices_of_a_session_are_held_against_one_average_of_the_strap():
    """The watch lacks the first 200 s: both are averaged over the other 1000."""
    watch = story.watch()
    watch[:200] = np.nan
    tables, found = courses(wrist=story.wrist(), watch=watch)
    assert found["averaged_s"].tolist() == [1000, 1000]
    assert found["mean_reference_bpm"].tolist() == [pytest.approx(story.STRAP[200:].mean())] * 2
    assert found.loc["wrist", "mean_device_bpm"] == pytest.approx(story.wrist()[200:].mean())
    lines = session_sentences(*tables, INTAKE).query("form == 'line' and device == 'wrist'")["text"]
    assert lines.iloc[1] == "That is over the 16 min 40 s in which every device could be compared."


def test_a_device_that_has_little_leaves_the_others_their_seconds():
    short = np.full(story.LENGTH_S, np.nan)
    short[:300] = story.STRAP[:300]
    _, found = courses(wrist=story.wrist(), short=short)
    assert found["averaged_s"].to_dict() == {"wrist": 1200, "short": 300}


def row(**changed):
    known = {"error_bpm": 10.1, "error_without_delay_bpm": 1.2, "delay_s": 12.0}
    known |= {"mean_device_bpm": 142.4, "mean_reference_bpm": 142.0}
    known |= {"maximum_device_bpm": 170.0, "maximum_reference_bpm": 171.0}
    return pd.Series(known | changed)


@pytest.mark.parametrize(
    ("changed", "cause", "told"),
    [
        (
            {},
            True,
            "It was 10.1 bpm off on average, mostly because it ran 12.0 s behind the strap; "
            "average and peak hide that.",
        ),
        (
            {"maximum_device_bpm": 150.0},
            True,
            "It was 10.1 bpm off on average, mostly because it ran 12.0 s behind the strap.",
        ),
        (
            {"error_without_delay_bpm": 8.0},
            False,
            "It was 10.1 bpm off on average and ran 12.0 s behind the strap; without that its "
            "error would be 8.0 bpm.",
        ),
        ({"delay_s": np.nan}, False, "It was 10.1 bpm off on average."),
    ],
)
def test_a_delay_is_called_the_cause_of_most_of_an_error_only_where_it_is(changed, cause, told):
    assert error_and_delay(row(**changed)) == (cause, [told])


def test_a_long_label_leaves_two_sentences():
    said = lead("A watch with a name of nine whole words", row())
    assert len(said) == 2 and all(len(sentence.split()) <= 25 for sentence in said)


def test_a_late_device_does_not_simply_follow():
    """From 2:00 on, 20 s behind a strap that goes up and down every two minutes."""
    late = np.where(story.SECONDS < 120, story.STRAP, np.roll(story.STRAP, 20))
    tables, _ = courses(wrist=late)
    texts = session_sentences(*tables, INTAKE).query("form == 'course'")["text"]
    assert texts.iloc[0] == "It followed the strap, but late, throughout."
