"""Only what a receipt names and is the session's own is taken away, and never through a link."""

import json

import pytest

from strapline.ground.files import sha256_of, write_model
from strapline.keeping.receipts import Places, Receipt, receipt_path
from strapline.running.forgetting.made import (
    Made,
    made_of,
    take_made,
    take_pages_but,
    take_published_but,
)
from strapline.running.forgetting.removal import Removal

SESSION, ADDRESS = "s-1", "s"
OWN = (
    f"results/sessions/{SESSION}/intake.json",
    f"results/report/sessions/{SESSION}.html",
    f"results/report/sessions/{SESSION}.origin.html",
    f"results/report/sessions/{SESSION}.figures.json",
    f"results/report/sessions/{SESSION}.seconds.js",
    f"results/publish/sessions/{ADDRESS}/words.json",
)
NOT_OWN = (
    f"results/sessions/{SESSION}/../s-2/intake.json",
    "results/sessions/s-2/intake.json",
    "results/publish/sessions/s-2/words.json",
    f"results/sessions/{SESSION}0/intake.json",
    f"results/report/sessions/{SESSION}0.html",
    "results/../outside.txt",
    "inbox/s-1/strap.fit",
    "outside.txt",
    "/etc/hostname",
    "results",
    "",
)


@pytest.fixture
def places(tmp_path):
    return Places(tmp_path / "results", tmp_path / "inbox")


def put(places, *names):
    for name in names:
        path = places.path_of(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(name)


def note(places, first, *outputs, of=()):
    """The receipt of a job that read something of the sessions `of`."""
    path = receipt_path(places, first)
    path.parent.mkdir(parents=True, exist_ok=True)
    read = {f"results/sessions/{session}/intake.json": None for session in of}
    named = {name: sha256_of(places.path_of(name)) for name in outputs}
    write_model(path, Receipt(stage="s", method="m", settings={}, inputs=read, outputs=named))
    return path


def note_published(places, address=ADDRESS, session=SESSION):
    name = f"results/publish/sessions/{address}/words.json"
    put(places, name)
    return note(places, f"results/publish/sessions/{address}", name, of=[session])


def forgotten(places, session=SESSION):
    return take_made(places, made_of(places, session), Removal(places.results))


def test_what_is_a_sessions_own():
    made = Made(SESSION, (ADDRESS,))
    assert all(map(made.has, OWN))
    assert not any(map(made.has, NOT_OWN[1:]))


def test_a_receipt_that_names_more_is_not_believed(places):
    files = [name for name in (*OWN, *NOT_OWN) if name and name.count("/") and name[0] != "/"]
    put(places, *files)
    receipt = note(places, f"results/sessions/{SESSION}/intake.json", *OWN, *NOT_OWN)
    published = note_published(places)
    assert forgotten(places) == []
    assert not receipt.exists() and not published.exists()
    assert not any(places.path_of(name).exists() for name in OWN)
    others = [name for name in files if name not in OWN]
    assert all(places.path_of(name).resolve().exists() for name in others)
    assert not (places.results / "sessions" / SESSION).exists()


def test_what_no_receipt_names_stays_and_is_told(places):
    put(places, *OWN)
    note(places, OWN[0], OWN[0])
    # Where no receipt says whose a folder is, it is the session's that is called so.
    own = f"results/publish/sessions/{SESSION}/words.json"
    put(places, own)
    left = forgotten(places)
    assert left == sorted([*OWN[1:5], own], key=left.index) and len(left) == 5


@pytest.mark.parametrize("through", ["sessions", f"sessions/{SESSION}", f"sessions/{SESSION}/a"])
def test_nothing_is_taken_through_a_link(places, tmp_path, through):
    name = f"results/sessions/{SESSION}/a/b.json"
    put(places, name)
    link = places.results / through
    link.rename(tmp_path / "elsewhere")
    link.symlink_to(tmp_path / "elsewhere")
    removal = Removal(places.results)
    assert not removal.take(places.path_of(name), "sessions")
    assert places.path_of(name).exists() and removal.taken.total() == 0


def test_a_link_is_no_file(places, tmp_path):
    put(places, OWN[0])
    path = places.path_of(OWN[0])
    path.rename(tmp_path / "elsewhere")
    path.symlink_to(tmp_path / "elsewhere")
    assert not Removal(places.results).take(path, "sessions")
    assert path.is_symlink() and (tmp_path / "elsewhere").exists()


def test_pages_of_sessions_that_left_are_taken_with_their_receipts(places):
    put(places, *OWN, "results/report/sessions/s-2.html", "results/report/sessions/mine.html")
    receipt = note(places, OWN[1], *OWN[1:5])
    other = note(places, "results/report/sessions/s-2.html", "results/report/sessions/s-2.html")
    spoilt = other.with_name("mine.html.json")
    spoilt.write_text(json.dumps({}))
    take_pages_but(places, {"s-2"})
    assert not receipt.exists() and other.exists() and spoilt.exists()
    assert [places.path_of(name).exists() for name in OWN] == [True, *4 * [False], True]
    assert (places.results / "report" / "sessions" / "s-2.html").exists()
    assert (places.results / "report" / "sessions" / "mine.html").exists()


def test_nothing_is_taken_by_way_of_the_folder_above(places):
    put(places, OWN[0], "results/sessions/s-2/intake.json")
    removal = Removal(places.results)
    assert not removal.take(places.path_of(NOT_OWN[0]), "sessions")
    assert places.path_of("results/sessions/s-2/intake.json").exists()


def test_the_site_goes_with_a_session_that_it_shows_and_with_no_other(places):
    page, other = "results/publish/site/sessions/run.html", "results/publish/devices/a/text.txt"
    outside = "results/publish/site/../devices/a/text.txt"
    put(places, page, other)
    path = note(places, "results/publish/site", page, other, outside, of=[SESSION, "s-2"])
    assert forgotten(places, "s-3") == []
    assert places.path_of(page).exists() and path.exists()
    assert forgotten(places) == []
    assert not places.path_of(page).exists() and not path.exists()
    assert places.path_of(other).exists()


def test_a_folder_that_another_session_is_published_in_stays(places):
    path = note_published(places, address=SESSION, session="s-2")
    assert forgotten(places) == []
    assert path.exists() and places.path_of(f"results/publish/sessions/{SESSION}").exists()


def test_what_was_published_elsewhere_is_taken_unless_somebody_edited_it(places):
    old, edited = note_published(places, "run-june"), note_published(places, "june")
    kept, other = note_published(places), note_published(places, "bo", "s-2")
    places.path_of("results/publish/sessions/june/words.json").write_text("mine")
    take_published_but(places, {SESSION: ADDRESS})
    assert not old.exists() and not places.path_of("results/publish/sessions/run-june").exists()
    assert edited.exists() and kept.exists() and other.exists()
    assert places.path_of("results/publish/sessions/june/words.json").read_text() == "mine"
