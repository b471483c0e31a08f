"""An app's history of days beside a session: which part of it is the session's."""

import datetime as dt

import pytest

from unit.session.test_inference import START, described, export, texts

DAY = dt.timedelta(days=1)
MINUTE = dt.timedelta(minutes=1)
USED = (START - 2 * MINUTE, START + 22 * MINUTE)


def history(before=DAY, after=DAY, **facts):
    span = {"first": START - before, "last": START + 20 * MINUTE + after}
    return export("watch.csv", **span | facts)


def of_history(file, card=None, **known):
    found = described([export("b.csv", product="S1"), file], card, **known)
    strap, watch = found.recordings
    assert strap.within is None
    return found, watch.within


def test_of_a_history_the_sessions_part_is_used_and_that_is_told_once():
    found, within = of_history(history())
    assert within == USED
    said = [text for text in texts(found, "assumed") if "goes on for" in text]
    assert len(said) == 1
    assert said[0].startswith("Its file goes on for 48 h 20 min; only what it holds of the session")


def test_a_history_of_local_times_is_cut_in_their_zone():
    hour = dt.timedelta(hours=1)
    local = history(clock="local", before=DAY - hour, after=DAY + hour)
    assert of_history(local, zone="Europe/Madrid")[1] == USED


@pytest.mark.parametrize(("before", "after"), [(6, 6), (-0.1, 72), (72, -0.1)])
def test_a_recording_begun_or_ended_hours_from_the_strap_or_within_it_is_no_history(before, after):
    hour = dt.timedelta(hours=1)
    assert of_history(history(before * hour, after * hour))[1] is None


def test_a_clock_that_the_card_sets_is_heard():
    entry = {"file": "watch.csv", "device": "watch"}
    strap = {"file": "b.csv", "device": "strap", "role": "reference"}
    late = {"recordings": [strap, entry | {"clock": {"offset_s": -3600}}]}
    hour = dt.timedelta(hours=1)
    assert of_history(history(), late)[1] == (USED[0] + hour, USED[1] + hour)
    mark = {"clock": {"marker": 30}}
    marked = {"recordings": [strap | mark, entry | mark]}
    assert of_history(history(), marked)[1] is None
