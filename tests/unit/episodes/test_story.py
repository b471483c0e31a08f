"""What one would say on seeing the picture is what the sentences say, of a session that is known.

Every number expected is computed here from what was simulated.
"""

import re

import numpy as np
import pytest

from intakes import recording, session, strap
from strapline.ground.settings import Episodes, Tolerance
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from unit.episodes import story

INTAKE = session(
    strap(), recording("wrist", label="Wrist band"), recording("watch", label="Grey watch")
)


@pytest.fixture(scope="module")
def tables():
    rows = story.aligned(wrist=story.wrist(), watch=story.watch())
    return session_episodes(rows, {}, INTAKE, Episodes(), Tolerance())


@pytest.fixture(scope="module")
def told(tables):
    """By device, the texts of each form."""
    texts = session_sentences(*tables, INTAKE)
    return {
        device: own.groupby("form", observed=True)["text"].apply(list).to_dict()
        for device, own in texts.groupby("device", observed=True)
    }


def lead(device):
    """Averages and maxima, from the two lines as simulated."""
    strap_mean, strap_top = story.STRAP.mean(), story.STRAP.max()
    change, top = device.mean() - strap_mean, device.max() - strap_top
    text = (
        f"It averaged {device.mean():.1f} bpm against the strap’s {strap_mean:.1f} "
        f"({change:+.1f} bpm, {100 * change / strap_mean:+.0f} %) and peaked at {device.max():.0f} "
        f"against {strap_top:.0f} ({top:+.0f}, {100 * top / strap_top:+.0f} %)."
    )
    return text.replace("(-", "(−").replace(", -", ", −")


def test_the_session_is_as_its_description_says():
    assert (story.STRAP.mean(), story.STRAP.max()) == (pytest.approx(142, abs=0.1), 171)
    assert round(story.watch().mean()) == 109 and story.watch().max() == 132
    without = np.delete(story.wrist(), np.arange(story.SPIKE_S, story.SPIKE_END_S))
    assert without.mean() == pytest.approx(119.5, abs=0.5) and without.max() == 171


def test_averages_maxima_and_the_error_come_first(told):
    for label, name, device in (
        ("Wrist band", "wrist", story.wrist()),
        ("Grey watch", "watch", story.watch()),
    ):
        off = np.abs(device - story.STRAP).mean()
        assert told[name]["line"] == [
            f"{label} was {off:.1f} bpm off on average.",
            lead(device),
        ]


def test_the_wrist_is_told_as_it_went(told):
    error = story.wrist() - story.STRAP
    off = np.abs(error) >= Episodes().leave_bpm
    low = error[off & (story.wrist() != 195)]
    assert told["wrist"]["course"] == [
        f"It followed the strap to 3:00 (15 % into the session), then read {-low.mean():.0f} bpm "
        "low on average for 10 min.",
        "In that time it spiked to 195 bpm at 6:10 for 9 s.",
        "That spike is its maximum; without it, it peaked at 171.",
        "It came back at 13:00 (65 %) and followed the strap to the end.",
    ]


def test_the_watch_is_told_by_its_share(told):
    assert told["watch"]["course"] == [
        "It read 23 % low from start to end, in step with the strap: each peak and trough is "
        "there, too low.",
    ]


def test_one_span_is_off_track_and_the_spike_is_in_it(tables):
    rows = tables[0][tables[0]["device"] == "wrist"]
    assert rows[["kind", "start_s", "end_s"]].to_numpy().tolist() == [
        ["reads_low", story.DROP_S, story.BACK_S],
        ["spike", story.SPIKE_S, story.SPIKE_END_S],
    ]
    assert rows["part_of_s"].tolist()[1] == story.DROP_S and np.isnan(rows["part_of_s"].iloc[0])


def test_aloud_it_opens_with_how_far_off_it_was_and_when(told):
    wrist, watch = told["wrist"]["aloud"][0], told["watch"]["aloud"][0]
    off = np.abs(story.wrist() - story.STRAP).mean()
    assert wrist.startswith(
        f"Wrist band was {off:.1f} beats a minute off on average. It read 45 beats a minute low "
        "from 3 minutes to 13 minutes. It jumped to 195 beats a minute at 6 minutes 10 seconds."
    )
    assert f"averaged {story.wrist().mean():.1f} beats a minute, the strap 142." in wrist
    assert "up to 39 beats a minute low from start to end" in watch


def test_the_pictures_title_tells_it(told):
    assert told["wrist"]["title"] == [
        "Wrist band read 45 bpm low from 3:00 to 13:00, and jumped to 195 bpm at 6:10"
    ]
    assert told["watch"]["title"] == ["Grey watch read up to 39 bpm low from start to end"]


def test_no_sentence_is_longer_than_25_words(told):
    for forms in told.values():
        for form in ("line", "course", "finding", "aloud"):
            for sentence in re.split(r"(?<=[.])\s+", " ".join(forms[form])):
                assert len(sentence.split()) <= 25, sentence
