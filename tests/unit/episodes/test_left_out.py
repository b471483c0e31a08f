"""What was not compared is told with the first words, and nothing is said to be throughout."""

import numpy as np
import pytest

from intakes import recording, session, strap
from strapline.ground.settings import Episodes, Tolerance
from strapline.ground.tables.sessions import METRICS
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from strapline.telling.publish.session_text import left_of_session, session_text
from strapline.telling.session_tables import SessionTables
from unit.episodes import story

INTAKE = session(strap(), recording("wrist", label="Wrist band"))
BY_CARD = np.where(
    (story.SECONDS >= 300) & (story.SECONDS < 360), "excluded: strap moved", "compared"
)
IN_DOUBT = np.where(story.SECONDS < 400, "reference_flat", "compared")
LEFT = {
    "by_card": (BY_CARD, "1 min left out by the card, which says ‘strap moved’"),
    "in_doubt": (IN_DOUBT, "6 min 40 s in which the strap was missing or in doubt"),
}


def tables(reading, status):
    rows = story.aligned(wrist=reading).assign(status=status)
    episodes, courses = session_episodes(rows, {}, INTAKE, Episodes(), Tolerance())
    return SessionTables(
        INTAKE,
        Tolerance(),
        aligned=rows,
        metrics=METRICS.from_rows([]),
        episodes=episodes,
        courses=courses,
        sentences=session_sentences(episodes, courses, INTAKE),
    )


@pytest.mark.parametrize("reading", [story.STRAP + 1, np.round(story.STRAP * 0.77)])
@pytest.mark.parametrize("name", LEFT)
def test_what_was_left_out_is_told_wherever_the_session_is(name, reading):
    status, told = LEFT[name]
    own = tables(reading, status)
    text = session_text(own, "")
    lines = own.sentences.loc[own.sentences["form"] == "line", "text"].tolist()
    assert lines[-1] == f"Not compared, through no fault of the device: {told}."
    assert told in text.description
    assert f"Wrist band, not compared: {told}." in text.figures
    assert f"not compared: {told}." in left_of_session(own)
    assert "not compared, through no fault" in text.aloud.lower()
    for each in (text.title, text.description, text.aloud):
        assert "throughout" not in each and "start to end" not in each


@pytest.mark.parametrize(
    ("recorded", "where"),
    [
        ((180, 1200), "from 3:00 on, where its recording began"),
        ((0, 1020), "to 17:00, where its recording ended"),
        ((180, 1020), "for as long as it recorded"),
    ],
)
def test_nothing_is_throughout_where_it_did_not_record(recorded, where):
    status = np.where(recorded[0] > story.SECONDS, "before_recording", "compared")
    status = np.where(recorded[1] <= story.SECONDS, "after_recording", status)
    own = tables(story.STRAP + 1, status)
    text = session_text(own, "")
    assert text.title == f"Wrist band followed the strap {where}"
    assert "Not compared, through no fault of the device: 3 min" in text.description
    course = own.sentences.loc[own.sentences["form"] == "course", "text"]
    assert course.tolist() == [f"It followed the strap {where}."]


def test_a_device_comes_back_to_where_its_recording_ends():
    status = np.where(story.SECONDS < 1100, "compared", "after_recording")
    own = tables(story.wrist(), status)
    course = own.sentences.loc[own.sentences["form"] == "course", "text"].tolist()
    assert course[-1] == (
        "It came back at 13:00 (65 %) and followed the strap to 18:20, where its recording ended."
    )


def test_a_reason_that_is_a_sentence_ends_ours_once():
    status = np.where(BY_CARD == "compared", "compared", "excluded: The strap had slipped.")
    text = session_text(tables(story.STRAP + 1, status), "")
    assert "left out by the card, which says ‘The strap had slipped’." in text.description
    assert ".." not in text.aloud and ".)" not in text.description


def test_nothing_is_said_of_what_is_next_to_nothing():
    own = tables(story.STRAP + 1, np.where(story.SECONDS < 4, "reference_flat", "compared"))
    assert "throughout" in session_text(own, "").title
    assert "Not compared" not in session_text(own, "").description
