"""Only what a receipt names and is the session's own is taken away, and never through a link."""

import json

import pytest

from strapline.ground.files import write_model
from strapline.keeping.receipts import Places, Receipt, receipt_path
from strapline.running.forgetting.made import is_of, take_made, take_pages_but
from strapline.running.forgetting.removal import Removal

SESSION = "s-1"
OWN = (
    f"results/sessions/{SESSION}/intake.json",
    f"results/report/sessions/{SESSION}.html",
    f"results/report/sessions/{SESSION}.origin.html",
    f"results/report/sessions/{SESSION}.figures.json",
    f"results/report/sessions/{SESSION}.seconds.js",
    f"results/publish/sessions/{SESSION}/words.json",
)
NOT_OWN = (
    f"results/sessions/{SESSION}/../s-2/intake.json",
    "results/sessions/s-2/intake.json",
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


def note(places, first, *outputs):
    path = receipt_path(places, first)
    path.parent.mkdir(parents=True, exist_ok=True)
    named = dict.fromkeys(outputs)
    receipt = Receipt(stage="intake", method="m", settings={}, inputs={}, outputs=named)
    write_model(path, receipt)
    return path


def test_what_is_a_sessions_own():
    assert all(is_of(SESSION, name) for name in OWN)
    assert not any(is_of(SESSION, name) for name in NOT_OWN[1:])


def test_a_receipt_that_names_more_is_not_believed(places):
    files = [name for name in (*OWN, *NOT_OWN) if name and name.count("/") and name[0] != "/"]
    put(places, *files)
    receipt = note(places, f"results/sessions/{SESSION}/intake.json", *OWN, *NOT_OWN)
    removal = Removal(places.results)
    assert take_made(places, SESSION, removal) == []
    assert not receipt.exists()
    assert not any(places.path_of(name).exists() for name in OWN)
    others = [name for name in files if name not in OWN]
    assert all(places.path_of(name).resolve().exists() for name in others)
    assert not (places.results / "sessions" / SESSION).exists()


def test_what_no_receipt_names_stays_and_is_told(places):
    put(places, *OWN)
    note(places, OWN[0], OWN[0])
    left = take_made(places, SESSION, Removal(places.results))
    assert left == sorted(OWN[1:], key=left.index) and len(left) == 5


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


def test_the_site_goes_with_the_session_it_shows(places):
    page, other = "results/publish/site/sessions/run.html", "results/publish/devices/a/text.txt"
    outside = "results/publish/site/../devices/a/text.txt"
    put(places, page, other)
    path = note(places, "results/publish/site", page, other, outside)
    assert take_made(places, SESSION, Removal(places.results)) == []
    assert not places.path_of(page).exists() and not path.exists()
    assert places.path_of(other).exists()
