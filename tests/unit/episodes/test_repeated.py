"""What comes again and again is told by its number and range, with every moment once."""

import numpy as np
import pytest

from intakes import recording, session, strap
from strapline.ground.settings import Episodes, Tolerance
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from unit.episodes import story

INTAKE = session(strap(), recording("wrist", label="Wrist band"))
STARTS = (150, 300, 450, 600, 750)


def told(reading):
    tables = session_episodes(story.aligned(wrist=reading), {}, INTAKE, Episodes(), Tolerance())
    texts = session_sentences(*tables, INTAKE)
    return texts.groupby("form", observed=True)["text"].apply(list).to_dict()


def dropping(starts, lengths, sizes, reading=story.STRAP):
    """`reading`, so many bpm lower from each start on for so many seconds."""
    lower = reading.copy()
    for start, length, size in zip(starts, lengths, sizes, strict=True):
        lower[start : start + length] -= size
    return lower


def test_five_drops_alike_are_told_together():
    forms = told(dropping(STARTS, (40, 45, 50, 55, 60), (20, 25, 30, 35, 40)))
    assert forms["course"] == [
        "It followed the strap to 2:30 (12 % into the session), then read low 5 times, the last "
        "time until 13:30 (68 %).",
        "Each lasted 40 s to 1 min, 20 to 40 bpm low on average; the worst began at 12:30.",
        "They began at 2:30, 5:00, 7:30, 10:00 and 12:30.",
        "It came back at 13:30 (68 %) and followed the strap to the end.",
    ]
    assert forms["title"] == ["Wrist band read up to 40 bpm low for 4 min 10 s"]


def test_what_it_read_for_most_of_the_session_is_told_as_one():
    reading = story.STRAP + 12.0
    for start in (200, 400, 600, 800, 1000):
        reading[start : start + 20] -= 12
    forms = told(reading)
    assert forms["course"] == [
        "From the start it read 12 bpm high for 92 % of the session, until 20:00 (100 %).",
        "That lasted to the end of its recording.",
    ]
    assert forms["title"] == ["Wrist band read 12 bpm high for 92 % of the session"]
    assert "read 12 beats a minute high 6 times, 18 minutes 20 seconds" in forms["aloud"][0]
    assert not any("hold it for 30 s" in text for text in forms["finding"])


def test_moments_of_many_drops_are_not_read_aloud():
    (aloud,) = told(dropping(STARTS, [40] * 5, [20] * 5))["aloud"]
    assert "It read 20 beats a minute low 5 times, 3 minutes 20 seconds in all. The worst" in aloud
    assert "They began at" not in aloud


def test_three_are_told_one_by_one_and_it_comes_back_once():
    forms = told(dropping(STARTS[:3], (40, 40, 40), (20, 25, 30)))
    assert forms["course"] == [
        "It followed the strap to 2:30 (12 % into the session), then read 20 bpm low on average "
        "until 3:10 (16 %).",
        "From 5:00 (25 %) to 5:40 (28 %) it read 25 bpm low on average.",
        "From 7:30 (38 %) it read 30 bpm low on average for 40 s.",
        "It came back at 8:10 (41 %) and followed the strap to the end.",
    ]


def test_a_title_counts_jumps_and_names_the_highest():
    reading = story.STRAP + 1
    for start, height in ((120, 40), (300, 61), (480, -80), (660, 45)):
        reading[start : start + 5] += height
    forms = told(reading)
    assert forms["title"] == [
        "Wrist band jumped 3 times, to 204 bpm at 5:00, and dropped by 79 bpm at 8:00"
    ]
    highest = reading[300:305].max()
    assert f"to {highest:.0f} bpm at 5:00 for 5 s" in " ".join(forms["course"])
    assert forms["course"][-1] == (
        "The spike at 5:00 is its maximum; without spikes, it peaked at 172."
    )


def test_a_title_goes_on_with_what_was_missing():
    reading = story.STRAP.copy()
    reading[300:390] = np.nan
    assert told(reading)["title"] == ["Wrist band had no value from 5:00 to 6:30"]


def test_the_one_that_is_most_of_it_is_told_by_itself():
    forms = told(dropping(STARTS, (15, 15, 15, 120, 15), (20, 25, 30, 40, 20)))
    assert any("40 bpm low on average" in sentence for sentence in forms["course"])
    listed = [sentence for sentence in forms["finding"] if "it read low at" in sentence]
    assert listed == ["Apart from that, it read low at 2:30 for 15 s and at 12:30 for 15 s."]


@pytest.mark.parametrize(("low_bpm", "leads"), [(11, False), (60, True)])
def test_what_weighs_most_leads(low_bpm, leads):
    """Four drops of half a minute, and one 45 bpm too high."""
    reading = dropping((900, *STARTS[:4]), (30, *[30] * 4), (-45, *[low_bpm] * 4))
    title, (first, *_) = told(reading)["title"][0], told(reading)["course"]
    assert ("read low 4 times" in first) == leads
    assert title.startswith(f"Wrist band read {low_bpm} bpm low for 2 min") == leads


def test_what_is_worse_than_each_of_what_is_repeated_is_told_before_it():
    reading = dropping((900, *STARTS[:4]), (90, 40, 40, 40, 40), (-40, 60, 60, 60, 60))
    course = told(reading)["course"]
    assert "40 bpm high on average for 1 min 30 s" in course[0]
    assert "Apart from that, it read low 4 times, from 2:30 to 10:40." in course


def test_on_track_is_said_of_what_could_be_compared():
    """Half of it could not."""
    status = np.where(story.SECONDS < 600, "compared", "clock_steps")
    rows = story.aligned(wrist=story.STRAP).assign(status=status)
    tables = session_episodes(rows, {}, INTAKE, Episodes(), Tolerance())
    texts = session_sentences(*tables, INTAKE).groupby("form", observed=True)["text"].apply(list)
    assert texts["title"] == ["Wrist band followed the strap wherever it could be compared"]
    assert texts["course"][0] == "It followed the strap wherever it could be compared."


def test_what_spiked_followed_only_nearly_throughout():
    assert told(dropping((370,), (8,), (40,)))["course"][:2] == [
        "It followed the strap nearly throughout.",
        "It dropped by 40 bpm at 6:10 for 8 s.",
    ]
    assert told(story.STRAP + 1)["course"][0] == "It followed the strap throughout."


def test_a_maximum_that_a_fault_brought_is_told_with_it():
    reading = dropping((370,), (90,), (-45,))
    highest = 370 + int(np.argmax(reading[370:460]))
    moment = f"{highest // 60}:{highest % 60:02}"
    assert f"Its maximum came while it read high, at {moment}." in told(reading)["course"]
    assert not any("maximum" in sentence for sentence in told(story.STRAP + 1)["course"])
