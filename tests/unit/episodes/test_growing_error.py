"""An error that grows is told as one that grows, from where it left the strap."""

import re

import numpy as np
import pytest

from intakes import recording, session, strap
from strapline.demo.physiology import wandering
from strapline.ground.settings import Episodes, Tolerance
from strapline.ground.words import clock
from strapline.method.episodes.detect import detect
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from strapline.method.episodes.view import view_of
from unit.episodes import story

INTAKE = session(strap(), recording("wrist", label="Wrist band"))


def drifting(start, to_bpm, end=story.LENGTH_S, noise_bpm=0.0, from_bpm=0.0):
    """The strap's rate with an error that grows from `start` to `end` s."""
    error = np.interp(story.SECONDS, [start, end], [from_bpm, to_bpm])
    error[:start] = error[end:] = 0
    noise = wandering(story.LENGTH_S, noise_bpm, 10, np.random.default_rng(8))
    return np.round(story.STRAP + error + noise)


def told(reading):
    tables = session_episodes(story.aligned(wrist=reading), {}, INTAKE, Episodes(), Tolerance())
    texts = session_sentences(*tables, INTAKE)
    return texts.groupby("form", observed=True)["text"].apply(list).to_dict()


def level(reading):
    return detect(view_of(story.aligned(wrist=reading)), Episodes()).episodes[-1]


def test_a_gap_that_grows_from_the_start_is_told_as_such():
    forms = told(drifting(0, -16))
    # By whole beats it is 5 bpm off from 4.5/16 of the 20 minutes on.
    assert forms["course"] == [
        "From the start it read lower and lower, from 0 to 16 bpm low at the end.",
        "It was off track from 5:38 (28 %) on.",
    ]
    assert forms["title"] == ["Wrist band read lower and lower from 0:00, 16 bpm low at 20:00"]


def test_a_gap_that_grows_later_and_closes_is_told_from_where_it_began():
    forms = told(drifting(300, 30, end=900))
    assert forms["course"][0] == "It followed the strap to 5:00 (25 % into the session)."
    assert forms["course"][1] == (
        "From then on it read higher and higher, from 0 to 30 bpm high at 15:00."
    )
    assert forms["course"][-2] == "It came back at 15:00 (75 %) and followed the strap to the end."


@pytest.mark.parametrize("noise_bpm", [0.5, 2.0])
@pytest.mark.parametrize(("start", "to_bpm"), [(0, -18), (240, -15), (480, 25)])
def test_the_drift_is_that_of_the_simulation(start, to_bpm, noise_bpm):
    found = level(drifting(start, to_bpm, noise_bpm=noise_bpm))
    assert found.drift_from_s == pytest.approx(start, abs=60)
    assert (found.drift_from_bpm, found.drift_to_bpm) == pytest.approx((0, to_bpm), abs=2)


@pytest.mark.parametrize(
    "reading",
    [
        # A step, a slow step, 23 % low, and what is large from the start on.
        drifting(360, -20, from_bpm=-20),
        np.where(story.SECONDS < 420, drifting(360, -20, 420), story.STRAP - 20),
        np.round(0.77 * story.STRAP),
        drifting(0, -20, from_bpm=-12),
    ],
)
def test_what_does_not_grow_evenly_is_no_drift(reading):
    assert not level(reading).drifts


def test_where_a_growing_error_was_large_at_first_is_told_beside_it():
    reading = drifting(0, -18, noise_bpm=2.0)
    spans = detect(view_of(story.aligned(wrist=reading)), Episodes()).episodes
    assert len(spans) > 1 and spans[-1].drifts
    course = told(reading)["course"]
    assert re.fullmatch(
        r"From the start it read lower and lower, from 0 to 1[789] bpm .*", course[0]
    )
    off = [f"from {clock(span.start_s)} " for span in spans]
    assert all(one in " ".join(course[1:]) for one in off)
    assert course[-1].endswith(" on.") and "read low" not in " ".join(told(reading)["finding"])


def test_an_error_grows_on_whatever_else_there_is():
    """A loss of contact, and a minute and a half high, beside what grows from the start on."""
    reading = drifting(0, -25)
    reading[200:300] = np.nan
    reading[600:690] = story.STRAP[600:690] + 40
    *_, grown = detect(view_of(story.aligned(wrist=reading)), Episodes()).episodes
    assert (grown.drift_from_s, grown.start_s) == (0, 690)
    assert (grown.drift_from_bpm, grown.drift_to_bpm) == pytest.approx((0, -25), abs=0.5)
    assert (
        "Apart from that, it read lower and lower from the start on, from 0 to 25 bpm low at the "
        "end."
    ) in told(reading)["course"]
