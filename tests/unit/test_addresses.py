"""What sessions are called where they are published."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strapline.ground.addresses import addresses, without_names
from strapline.ground.slugs import slug

WEARERS = {"zoe", "bo", "anna-lena", "anna", "juergen", "soren", "w1", "../", ""}


@pytest.mark.parametrize(
    ("title", "expected"),
    [
        ("Run ZOË", "Run"),
        ("2026-03-05_run_zoe", "2026-03-05_run"),
        ("hill-zoe-run", "hill-run"),
        ("Zoe’s run, with Zoe", "run, with"),
        ("Zoes run, planned, Bob, Annabel", "Zoes run, planned, Bob, Annabel"),
        ("zoe and bo", "and"),
        ("Zoe2 20260305zoe", "2 20260305"),
        ("ZoeRun RunZoe", "Run Run"),
        ("w1 and w12 and 3w1", "and w12 and 3"),
        ("Anna Lena AnnaLena anna_lena Anna", ""),
        ("anna bo lena", "lena"),
        ("bo zoe bo", ""),
        ("Jürgen Juergen JURGEN", ""),
        ("Søren Sören", ""),
        ("Z\u200bo\u0308e ｚｏｅ", ""),
    ],
)
def test_a_text_loses_the_names_and_nothing_else(title, expected):
    assert without_names(title, WEARERS).strip(" _-") == expected
    assert without_names(title, {"", "-"}) == title


@pytest.mark.parametrize(
    ("title", "expected"), [("½ run", "run"), ("⒈ run ①", "run"), ("11", "11")]
)
def test_a_sign_that_is_several_letters_goes_as_a_whole(title, expected):
    assert without_names(title, {"1"}).strip(" _-") == expected


def test_a_session_is_called_as_it_is_but_for_names():
    titles = {"d-run": "d run", "d-run-bo": "d run bo", "d-run-zoe": "d run Zoe", "zoe": "ZOE"}
    assert addresses(titles, WEARERS, {}) == {
        "d-run": "d-run",
        "d-run-bo": "d-run-2",
        "d-run-zoe": "d-run-3",
        "zoe": "session",
    }
    assert addresses(titles, [], {}) == {name: name for name in titles}


def test_what_is_published_is_found_there_again():
    """Whoever comes later, under whatever name."""
    first = addresses({"d-run-zoe": "d run zoe"}, WEARERS, {})
    held = {address: name for name, address in first.items()}
    later = {"d-run": "d run", "d-run-bo": "d run bo", "d-run-zoe": "d run zoe"}
    assert addresses(later, WEARERS, held) == {
        "d-run": "d-run-2",
        "d-run-bo": "d-run-3",
        "d-run-zoe": "d-run",
    }


def test_what_names_a_wearer_is_held_no_more():
    held = {"d-run-zoe": "d-run-zoe", "other": "d-run-bo", "d-run": "gone"}
    found = addresses({"d-run-zoe": "d run zoe", "d-run-bo": "d run bo"}, WEARERS, held)
    assert found == {"d-run-bo": "d-run", "d-run-zoe": "d-run-2"}


WORDS = st.sampled_from(["zoe", "Zoë", "bo", "run", "2", "3", "session", "ß", "-", "Bo’s", "日"])
TITLES = st.lists(WORDS, min_size=1, max_size=4).map(" ".join)


@given(st.sets(TITLES, max_size=12), st.dictionaries(st.sampled_from(["run", "run-2"]), TITLES))
def test_no_two_sessions_meet_and_nobody_is_named(titles, held):
    named = {f"{slug(title)}-{place}": title for place, title in enumerate(sorted(titles))}
    found = addresses(named, WEARERS, {address: slug(title) for address, title in held.items()})
    assert found.keys() == named.keys() and len({*found.values()}) == len(found)
    for address in found.values():
        assert slug(address) == address
        assert not {"zoe", "bo"} & {*address.split("-")}
