"""Every kind of episode is asked the same: what it is called, what it reads, where it is found."""

from dataclasses import replace
from itertools import chain

import numpy as np
import pytest

from strapline.ground.settings import Episodes
from strapline.ground.vocabulary import Fault
from strapline.method.episodes import kinds
from strapline.method.episodes.detect import detect
from strapline.method.episodes.view import View
from unit.episodes.invented import FAULTS, session

every_kind = pytest.mark.parametrize("kind", kinds.KINDS, ids=lambda kind: kind.key)
FIRST = range(30_000, 30_012)
# What none of them has is looked for in more.
MORE = range(30_012, 30_060)


class Watched:
    """Settings that note which of them are read."""

    def __init__(self, settings):
        self.settings, self.read = settings, set()

    def __getattr__(self, name):
        self.read.add(name)
        return getattr(self.settings, name)


def reading(kind):
    """The settings a kind reads over some sessions, and what it finds in them."""
    settings, found = Watched(Episodes()), []
    for place, known in enumerate(map(session, chain(FIRST, MORE))):
        if found and place >= len(FIRST):
            break
        found += [(known.view, *one) for one in kind.spans(known.view, settings)]
    kind.shortest_s(settings)
    return settings.read, found


def test_each_word_for_a_fault_is_a_kind_in_that_order():
    assert kinds.in_order() == list(Fault)


def test_each_has_known_faults():
    assert set(FAULTS) == set(Fault)


def test_each_has_a_key_and_names_of_its_own():
    for names in ("key", "name", "lane", "did", "phase", "how"):
        said = [getattr(kind, names) for kind in kinds.KINDS]
        assert all(said) and len(set(said)) == len(said), names


@every_kind
def test_each_has_words_that_fit_where_they_stand(kind):
    assert kind.how.endswith(".")
    assert len(kind.lane.split()) <= 2 and kind.lane == kind.lane.lower()
    assert ("{size}" in kind.phase) == kind.has_error


@every_kind
def test_each_names_the_settings_that_it_reads(kind):
    read, found = reading(kind)
    assert found
    assert read == set(kind.settings)
    assert kind.shortest in ("", *kind.settings)


def test_every_setting_of_episodes_is_read_by_a_kind():
    assert {name for kind in kinds.KINDS for name in kind.settings} == set(Episodes.model_fields)


@every_kind
def test_each_gives_a_reason_with_a_number_in_it(kind):
    _, found = reading(kind)
    for view, span, detail in found[:5]:
        reason = kind.reason(span, view, detail)
        assert reason.endswith(".") and any(letter.isdigit() for letter in reason)


def test_a_second_goes_to_the_first_kind_that_claims_it(monkeypatch):
    """Two that claim the same, in either order."""
    device = np.full(200, 100.0)
    device[50:90] = 130
    view = View(
        np.full(200, 100.0), device, np.ones(200, bool), np.zeros(200, bool), np.full(200, np.nan)
    )
    both = [replace(kinds.kind("reads_high"), key=key) for key in ("one", "other")]
    for order in (both, both[::-1]):
        monkeypatch.setattr(kinds, "KINDS", tuple(order))
        (episode,) = detect(view, Episodes()).episodes
        assert (episode.kind, episode.start_s, episode.end_s) == (order[0].key, 50, 90)


def test_nothing_shorter_is_found_than_a_recording_is_fine_enough_to_show():
    lengths = [
        piece.end_s - piece.start_s for each in map(session, FIRST) for piece in found_in(each.view)
    ]
    shortest, coarse_s = min(lengths), 60.0
    assert shortest < coarse_s
    for each in map(session, FIRST):
        for piece in found_in(replace(each.view, shortest_s=coarse_s)):
            assert piece.end_s - piece.start_s >= coarse_s


def test_jumps_are_not_looked_for_where_a_recording_shows_nothing_so_short():
    view = replace(session(FIRST[0]).view, shortest_s=Episodes().spike_longest_s + 1)
    reason = kinds.kind(Fault.SPIKE).not_testable(view, Episodes())
    assert reason is not None and reason.startswith("it was read from a picture")


def found_in(view):
    detection = detect(view, Episodes())
    return (*detection.episodes, *detection.events)
