"""What a tester says and pastes is made of the page's own sentences, and holds no other number."""

import re

import numpy as np
import pytest

from intakes import recording, session, strap
from strapline.ground.settings import Episodes, Tolerance
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Clocks
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from strapline.method.episodes.spoken import in_breaths, spoken
from strapline.telling.publish.session_text import session_text
from strapline.telling.publish.text import CAUTION, MOST_WORDS, WORDS_A_MINUTE, chosen
from strapline.telling.session_tables import SessionTables
from unit.episodes import story

INTAKE = session(
    strap(),
    recording("wrist", label="Wrist band"),
    recording("watch", label="Grey watch"),
    activity="hill-run",
)
LABELS = ("Wrist band", "Grey watch")
NUMBER = r"\d+(?:\.\d+)?"


def metrics(**devices):
    base = {"session": "s-1", "wearer": "ada", "activity": "run", "scope": "whole", "n": 600}
    return METRICS.from_rows(
        [
            base
            | {"recording": name, "device": name, "alignment": Clocks.SETTLED, "metric": key}
            | {"value": value, "unit": "bpm"}
            for name, rates in devices.items()
            for key, value in (
                ("mae", np.abs(rates - story.STRAP).mean()),
                ("within_beats", 100 * (np.abs(rates - story.STRAP) <= 5).mean()),
            )
        ]
    )


def tables(**devices):
    rows = story.aligned(**devices)
    episodes, courses = session_episodes(rows, {}, INTAKE, Episodes(), Tolerance())
    return SessionTables(
        INTAKE,
        Tolerance(),
        aligned=rows,
        metrics=metrics(**devices),
        episodes=episodes,
        courses=courses,
        sentences=session_sentences(episodes, courses, INTAKE),
    )


@pytest.fixture(scope="module")
def both():
    return tables(wrist=story.wrist(), watch=story.watch())


@pytest.fixture(scope="module")
def text(both):
    return session_text(both, "One session.")


def in_sentences(text):
    return re.split(r"(?<=[.]) ", text)


def test_a_description_has_the_pages_sentences_and_no_others(both, text):
    opening, *sentences = in_sentences(text.description)
    assert opening.endswith("Wrist band and Grey watch against Chest strap.")
    assert opening.startswith("Hill run, ")
    page = set(both.sentences["text"])
    aloud = " ".join(page)
    assert all(one in page or in_breaths(one) in aloud for one in sentences)
    assert 60 <= len(text.description.split()) <= MOST_WORDS


def test_every_device_is_told_and_none_is_called_it_first(text):
    for label in LABELS:
        assert re.search(rf"(^|[.] ){label} was .* off on average", text.description)
        assert re.search(rf"(^|[.] ){label} was .* off on average", text.aloud)


def test_what_is_said_takes_a_minute_and_has_no_sign(both, text):
    assert 60 <= len(text.aloud.split()) <= WORDS_A_MINUTE
    assert not re.search(r"bpm|\d s\b|\bmin\b|%|−|\d:\d", text.aloud)
    numbers = set(re.findall(NUMBER, " ".join(map(spoken, both.sentences["text"]))))
    assert set(re.findall(NUMBER, text.aloud)) <= numbers


def test_of_one_device_the_page_itself_is_read():
    alone = tables(watch=story.watch())
    aloud = alone.sentences.loc[alone.sentences["form"] == "aloud", "text"].iloc[0]
    assert session_text(alone, "").aloud == aloud


def test_figures_are_averages_maxima_and_the_tables(text):
    band, strap_mean = story.wrist().mean(), story.STRAP.mean()
    assert (
        f"Wrist band, average: {band:.1f} bpm against the strap’s {strap_mean:.1f}"
        in (text.figures[0])
    )
    assert text.figures[1].startswith("Wrist band, maximum: 195 against 171 (+24, ")
    error = np.abs(story.wrist() - story.STRAP)
    assert f"Wrist band, mean absolute error: {error.mean():.1f} bpm" in text.figures
    within = 100 * (error <= 5).mean()
    assert f"Wrist band, within 5 bpm: {within:.1f} %" in text.figures


def test_both_forms_say_the_same_with_sources_and_cautions(text):
    for form in (text.plain, text.markdown):
        assert "One session." in form and CAUTION in form and text.description in form
    bare = re.sub(r"^#+ ", "", text.markdown, flags=re.MULTILINE)
    assert bare == text.plain


def test_no_name_is_markup():
    hostile = INTAKE.model_copy(
        update={"recordings": (strap(), recording("wrist", label="*A*\n# <b>"))}
    )
    text = session_text(SessionTables(hostile, Tolerance()), "By *A*")
    assert "\n# <b>" not in text.markdown and r"By \*A\*" in text.markdown


def test_a_session_without_anything_compared_says_so():
    text = session_text(SessionTables(INTAKE, Tolerance()), "One session.")
    assert text.title == "Hill run: no device that could be compared against Chest strap."
    assert (text.aloud, text.figures) == ("", ())


def test_what_weighs_most_of_each_comes_before_more_of_any():
    said = [["A one two.", "It was three."], ["B one two.", "It was four.", "It was five."]]
    assert chosen(said, 9) == "A one two. It was three. B one two."
    assert chosen(said, 12) == "A one two. It was three. B one two. It was four."
    # Nothing is said of 'it' that was not named.
    assert chosen([["A one two three four.", "It was."]], 3) == ""


def test_a_text_that_would_be_short_is_told_further():
    said, more = [["A one two."]], [["It was three."] * 40]
    assert len(chosen(said, 120, more=more).split()) == 60


def test_a_session_without_faults_is_told_as_one():
    description = session_text(tables(watch=story.STRAP.copy()), "").description
    assert "No fault of" in description and " low " not in description
