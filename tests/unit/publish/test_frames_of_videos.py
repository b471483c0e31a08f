"""Frames that build up, and the worst fault close up: the session's own seconds, moved nowhere."""

from types import MappingProxyType

import numpy as np
import pytest

from intakes import recording, session, strap
from strapline.ground.records.alignment import ClockDecision
from strapline.ground.records.card import Exclusion
from strapline.ground.settings import Episodes, Palette, Publish, Tolerance
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from strapline.telling.charts.build_up import build_up
from strapline.telling.charts.close_up import CLOSE_UP, worst
from strapline.telling.charts.ends import STRAP
from strapline.telling.charts.picture import by_row
from strapline.telling.charts.traces import TRACES
from strapline.telling.publish.pictures import write_pictures
from strapline.telling.publish.session_pictures import session_pictures
from strapline.telling.session_tables import SessionTables
from unit.episodes import story

INTAKE = session(
    strap(), recording("wrist", label="Wrist band"), recording("watch", label="Grey watch")
)


def tables(intake=INTAKE, clocks=MappingProxyType({}), **devices):
    rows = story.aligned(**devices)
    episodes, courses = session_episodes(rows, {}, intake, Episodes(), Tolerance(), clocks)
    told = session_sentences(episodes, courses, intake)
    names = {"aligned": rows, "episodes": episodes, "courses": courses, "sentences": told}
    return SessionTables(intake, Tolerance(), **names)


@pytest.fixture(scope="module")
def both():
    return tables(wrist=story.wrist(), watch=story.watch())


@pytest.fixture(scope="module")
def traces(both):
    return TRACES.of(both, ["wrist", "watch"])


def lines(picture):
    """By place: second -> what the device showed."""
    found = {}
    for row in by_row(picture.content.datasets["devices"]):
        if row.get("to") is None:
            found.setdefault(row["place"], {})[row["s"]] = row["bpm"]
    return found


def test_a_title_of_three_devices_has_the_two_that_were_off_most():
    three = session(
        strap(), *(recording(name, label=name.title()) for name in ("ring", "watch", "band"))
    )
    low, high = story.STRAP.copy(), story.STRAP.copy()
    low[300:500] -= 40
    high[600:700] += 30
    shown = tables(three, ring=high, watch=story.STRAP + 1, band=low)
    title = TRACES.of(shown, ["ring", "watch", "band"]).title
    assert title == (
        "Run: Band read 40 bpm low from 5:00 to 8:20; Ring read 30 bpm high from 10:00 to 11:40"
    )


def test_a_title_that_two_things_of_each_would_make_long_has_the_worst_and_one_reservation():
    """Each device was late, the band throughout, by clocks that nothing tells."""
    worn = session(strap(), *(recording(name, label=name.title()) for name in ("ring", "band")))
    late = np.roll(story.STRAP, 20)
    ring = np.where(story.SECONDS < 500, late, story.STRAP)
    refused = {
        name: ClockDecision(recording=name, offset_s=0, decision="refused", reason="")
        for name in ("ring", "band")
    }
    shown = tables(worn, refused, ring=ring, band=late)
    title = TRACES.of(shown, ["ring", "band"]).title
    assert len(title) <= 110 and title.count("(sensor or clock)") == 1
    assert title.startswith("Run: Band was late for") and "; Ring was late for" in title


def test_a_device_more_stands_in_each_frame(traces):
    frames = build_up(traces, "What will it show?")
    assert list(frames) == ["build-up-1", "build-up-2", "build-up-3"]
    assert [set(lines(frame)) for frame in frames.values()] == [set(), {0}, {0, 1}]
    names = [[end["place"] for end in by_row(f.content.datasets["ends"])] for f in frames.values()]
    assert names == [[STRAP], [STRAP, 0], [STRAP, 0, 1]]
    assert lines(frames["build-up-3"]) == lines(traces)


def test_axes_and_names_keep_their_places(traces):
    frames = list(build_up(traces, "What will it show?").values())
    whole = by_row(traces.content.datasets["ends"])
    for count, frame in enumerate(frames, 1):
        assert frame.content.values == traces.content.values
        assert frame.content.datasets["strap"] == traces.content.datasets["strap"]
        assert by_row(frame.content.datasets["ends"]) == whole[:count]
        assert frame.title == "What will it show?" and "aults" not in frame.content.subtitle


def test_the_worst_fault_is_that_of_most_seconds_and_beats(both):
    """Of the wrist 45 bpm for ten minutes; of the watch 33 for twenty, and no less in all."""
    found = worst(both)
    wrist = 45 * (story.BACK_S - story.DROP_S)
    watch = (story.STRAP - story.watch()).sum()
    assert watch > wrist and found.recording.recording == "watch"


def test_a_close_up_shows_the_seconds_around_it_as_they_were():
    alone = tables(wrist=story.wrist())
    content = CLOSE_UP.of(alone, []).content
    around = (story.BACK_S - story.DROP_S) // 2
    # It begins before the session does, so it is cut there.
    assert content.values["first"] == 0
    assert content.values["end"] == pytest.approx(story.BACK_S + around, abs=5)
    shown = lines(CLOSE_UP.of(alone, []))[0]
    assert all(story.wrist()[second] == bpm for second, bpm in shown.items())


def test_what_is_late_in_a_session_keeps_its_time():
    device = story.STRAP.copy()
    device[900:960] -= 40
    intake = INTAKE.model_copy(update={"exclude": (Exclusion(start=880, end=890, reason="x"),)})
    found = CLOSE_UP.of(tables(intake, wrist=device), [])
    first = found.content.values["first"]
    assert first == pytest.approx(870, abs=3)
    shown = lines(found)[0]
    assert all(device[first + second] == bpm for second, bpm in shown.items() if bpm)
    faults = [
        (row["from"] + first, row["to"] + first)
        for row in by_row(found.content.datasets["devices"])
        if row.get("to") is not None
    ]
    assert faults == [(pytest.approx(900, abs=2), pytest.approx(960, abs=2))]
    left_out = by_row(found.content.datasets["left_out"])
    assert [(row["from"] + first, row["to"] + first) for row in left_out] == [(880, 890)]
    assert "bpm low from 15:00 to 16:00" in found.title
    assert found.content.values["every"] % 5 == 0


def test_without_a_fault_there_is_no_close_up():
    calm = tables(watch=story.STRAP.copy())
    assert worst(calm) is None
    found = session_pictures(calm, [], Publish(pictures=("close-up", "differences")))
    assert list(found) == ["differences"]


def test_only_what_is_asked_for_is_published(both):
    found = session_pictures(both, [], Publish(pictures=("close-up", "build-up")))
    assert list(found) == ["close-up", "build-up-1", "build-up-2", "build-up-3"]


def test_frames_fill_a_screen_lying_and_standing(tmp_path, traces):
    frame = build_up(traces, "What will it show?")["build-up-2"]
    write_pictures(tmp_path, {"build-up-2": frame}, Palette(), "")
    for size in ((1920, 1080), (1080, 1920)):
        header = (tmp_path / f"build-up-2-{size[0]}x{size[1]}.png").read_bytes()[16:24]
        assert header == size[0].to_bytes(4) + size[1].to_bytes(4)
