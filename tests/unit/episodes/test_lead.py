"""What is said first: over which seconds, and what explains the error."""

import numpy as np
import pandas as pd
import pytest

from intakes import recording, session, strap
from strapline.ground.records.alignment import ClockDecision, Delay, Piece
from strapline.ground.settings import Episodes, Tolerance
from strapline.method.episodes.lead import late as how_late
from strapline.method.episodes.lead import late_aloud, lead_aloud, off
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from unit.episodes import story

INTAKE = session(strap(), recording("wrist"), recording("watch"), recording("short"))


def courses(**devices):
    tables = session_episodes(story.aligned(**devices), {}, INTAKE, Episodes(), Tolerance())
    return tables, tables[1].set_index("recording")


def test_each_device_is_averaged_over_its_own_seconds():
    """The watch lacks the first 200 s, which are the wrist's still."""
    watch = story.watch()
    watch[:200] = np.nan
    tables, found = courses(wrist=story.wrist(), watch=watch)
    assert found["compared_s"].to_dict() == {"wrist": 1200, "watch": 1000}
    straps = {"wrist": story.STRAP.mean(), "watch": story.STRAP[200:].mean()}
    assert found["mean_reference_bpm"].to_dict() == pytest.approx(straps)
    assert found.loc["wrist", "mean_device_bpm"] == pytest.approx(story.wrist().mean())
    lines = session_sentences(*tables, INTAKE).query("form == 'line'").set_index("device")["text"]
    for name, mean in straps.items():
        assert f"against the strap’s {mean:.1f} (" in " ".join(lines.loc[[name]])


def test_peaks_of_minute_means_are_said_to_be():
    rows = story.aligned(wrist=story.STRAP).assign(stands_for_s=60.0)
    tables = session_episodes(rows, {}, INTAKE, Episodes(), Tolerance())
    texts = session_sentences(*tables, INTAKE)
    lines = texts.query("form == 'line'")["text"].tolist()
    assert lines[2] == "Both peaks are of means over 1 min, the time between its values."
    # Nor does it show when it found the strap's rate.
    assert not texts["text"].str.contains("hold it for|held it for").any()


def row(**changed):
    known = {"error_bpm": 10.1, "error_without_delay_bpm": 1.2}
    known |= {"mean_device_bpm": 142.4, "mean_reference_bpm": 142.0}
    known |= {"maximum_device_bpm": 170.0, "maximum_reference_bpm": 171.0}
    return pd.Series(known | changed)


def late(delay=(12.0, 10.6, 13.2), ground="right to 3 s, by speed", within_s=0.0, **sides):
    told = {"delay": delay} | sides
    delays = {
        name: Delay(delay_s=one[0], low_s=one[1], high_s=one[2])
        for name, one in told.items()
        if one
    }
    return ClockDecision(
        recording="watch",
        offset_s=0,
        decision="channels",
        reason="",
        ground=ground,
        within_s=within_s,
        **delays,
    )


def test_what_is_left_of_an_error_without_its_delay_is_told():
    assert how_late(row(), late()) == [
        "It was 12 s late (10 to 14 s; clock right to 3 s, by speed).",
        "Moved by 12 s, it would be 1.2 bpm off.",
    ]


@pytest.mark.parametrize("ground", ["right to 3 s, by speed", ""])
def test_a_delay_that_takes_nothing_from_the_error_is_not_held_against_it(ground):
    assert len(how_late(row(error_without_delay_bpm=10.1), late(ground=ground))) == 1


def test_an_error_after_fitting_the_clock_says_so():
    fitted = ClockDecision(recording="watch", offset_s=12.6, decision="estimated", reason="")
    told = "It was 10.1 bpm off on average once heart rate had set its clock, which flatters it."
    assert off("It", row(), fitted) == told and how_late(row(), fitted) == []


ALIKE, SLOWER = (11.0, 9.9, 12.1), (16.2, 11.8, 17.4)
UNEVEN = {"rising": ALIKE, "falling": SLOWER, "uneven": (-5.2, -7.1, -3.4)}


@pytest.mark.parametrize(
    ("clock", "told"),
    [
        (
            late(rising=ALIKE, falling=(12.8, 11.2, 14.0)),
            ["It was 12 s late (10 to 14 s; clock right to 3 s, by speed)."],
        ),
        (
            late(ground="as stated", **UNEVEN),
            ["It was 11 s late at rises (9 to 13 s) and 16 s late at falls (11 to 18 s; clock as "
             "stated)."],
        ),
        (
            late(ground="right to within 4 s, by speed and power", within_s=4, **UNEVEN),
            ["It was 11 s late at rises (6 to 16 s) and 16 s late at falls (10 to 21 s).",
             "Its clock is right to within 4 s, by speed and power."],
        ),
        (
            late((-4.0, -5.2, -2.8)),
            ["It was 4 s early (2 to 6 s; clock right to 3 s, by speed)."],
        ),
    ],
)  # fmt: skip
def test_a_delay_is_told_at_rises_and_falls_with_how_sure_the_clock_is(clock, told):
    said = how_late(row(), clock)
    assert said[:-1] == told
    assert all(len(sentence.split()) <= 25 for sentence in said)


def test_where_nothing_settles_the_clock_it_may_be_the_clocks():
    told, _ = how_late(row(), late(ground=""))
    assert told == "It was 12 s late (10 to 14 s), by its sensor or its clock."
    assert late_aloud(late(ground="")) == ["It was 12 s late, by its sensor or its clock."]
    assert late_aloud(late()) == ["It was 12 s late."]


def test_what_rises_and_falls_differ_by_is_the_sensors_whatever_the_clock():
    assert how_late(row(), late(ground="", **UNEVEN)) == [
        "It was 11 s late at rises (9 to 13 s) and 16 s late at falls (11 to 18 s).",
        "A clock shifts both alike, so at least 3 s at falls is its sensor’s.",
        "Moved by 12 s, it would be 1.2 bpm off.",
    ]


@pytest.mark.parametrize(("clock", "told"), [
    (None, []),
    (late(None), []),
    (late((1.1, -0.4, 2.2)), ["It was between 1 s early and 3 s late."]),
    (late((0.6, 0.2, 0.9)), ["It was at most 1 s late."]),
    (late((-0.6, -0.9, -0.2)), ["It was at most 1 s early."]),
    (late((2.0, 0.6, 3.2), within_s=3.0), ["It was between 2 s early and 6 s late."]),
])  # fmt: skip
def test_no_delay_is_told_where_there_is_none(clock, told):
    assert how_late(row(), clock) == told
    assert late_aloud(clock) == []


def test_a_late_device_does_not_simply_follow():
    """From 2:00 on, 20 s behind a strap that goes up and down every two minutes."""
    late = np.where(story.SECONDS < 120, story.STRAP, np.roll(story.STRAP, 20))
    tables, _ = courses(wrist=late)
    texts = session_sentences(*tables, INTAKE).query("form == 'course'")["text"]
    assert texts.iloc[0] == "It followed the strap, but late, throughout."


def test_a_device_that_was_slow_at_times_does_not_simply_follow():
    """Late by 20 s for the four minutes from 2:00 on, of twenty; each contradicts 'throughout'."""
    slow = (story.SECONDS >= 120) & (story.SECONDS < 200)
    tables, _ = courses(wrist=np.where(slow, np.roll(story.STRAP, 20), story.STRAP))
    texts = session_sentences(*tables, INTAKE).query("form == 'course'")["text"]
    assert texts.iloc[0] == "It followed the strap, at times late, throughout."
    assert texts.iloc[1].startswith("It was late twice, for ")


def test_lateness_by_a_clock_that_nothing_tells_is_no_fault_of_the_sensor():
    """Neither in the title nor in a sentence; by a sure clock it is, and among no faults either."""
    slow = (story.SECONDS >= 120) & (story.SECONDS < 200)
    rows = story.aligned(wrist=np.where(slow, np.roll(story.STRAP, 20), story.STRAP))
    told, faults = {}, {}
    for ground in ("", "as the card says"):
        clock = ClockDecision(
            recording="wrist", offset_s=0, decision="refused", reason="", ground=ground
        )
        clocks = {"wrist": clock}
        tables = session_episodes(rows, {}, INTAKE, Episodes(), Tolerance(), clocks)
        said = session_sentences(*tables, INTAKE, clocks)
        told[ground] = " ".join(said[said["form"].isin(["title", "course"])]["text"])
        faults[ground] = tables[1]["faults"].item()
    assert told[""].count("by its sensor or its clock") == told[""].count("(sensor or clock)") == 1
    assert "late" in told["as the card says"] and "clock" not in told["as the card says"]
    assert faults[""] == faults["as the card says"] == 0


def test_a_device_that_runs_late_throughout_is_said_to():
    rows = story.aligned(wrist=story.STRAP)
    behind = {"wrist": late((6.0, 5.0, 7.0))}
    tables = session_episodes(rows, {}, INTAKE, Episodes(), Tolerance(), behind)
    texts = session_sentences(*tables, INTAKE)
    assert texts.query("form == 'course'")["text"].tolist() == [
        "It followed the strap, but late, throughout."
    ]
    (title,) = texts.query("form == 'title'")["text"]
    assert title.endswith("was 6 s late throughout")


def test_an_error_beside_a_pause_that_heart_rate_told_says_so():
    parts = (
        Piece(from_s=None, until_s=60, offset_s=0),
        Piece(from_s=90, until_s=None, offset_s=60),
    )
    clock = ClockDecision(
        recording="watch", offset_s=0, decision="estimated", reason="", pieces=parts
    )
    assert off("It", row(), clock) == (
        "It was 10.1 bpm off on average, once a pause that one of the files left out was put back."
    )


def test_averages_are_said_as_finely_as_the_pages_have_them():
    """In whole beats two devices of a session would be held against two averages of the strap."""
    told = lead_aloud(row(mean_device_bpm=142.46, mean_reference_bpm=141.98))
    assert told == (
        "It averaged 142.5 beats a minute, the strap 142.",
        "Its highest reading was 170, the strap’s 171.",
    )
