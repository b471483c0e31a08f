import os
import string

from hypothesis import given
from hypothesis import strategies as st

from strapline.session.discovery import devices_named, read_inbox, slug, unique_slugs

SAFE = set(string.ascii_lowercase + string.digits + "-")


def test_an_inbox_is_told_from_names_alone(tmp_path):
    folder = tmp_path / "2026-03-02 Intervals"
    folder.mkdir()
    for name in ("Strap.fit", "watch.csv", "watch.gpx", "session.yaml", ".hidden"):
        (folder / name).write_text("not read")
    (folder / "photos").mkdir()
    (tmp_path / "loose.fit").write_text("")
    inbox = read_inbox(tmp_path)
    session = inbox.sessions["2026-03-02-intervals"]
    assert session.title == "2026-03-02 Intervals"
    assert {key: path.name for key, path in session.exports.items()} == {
        "strap": "Strap.fit",
        "watch-csv": "watch.csv",
        "watch-gpx": "watch.gpx",
    }
    assert session.card == folder / "session.yaml"
    assert any("photos is not a file" in sentence for sentence in inbox.left_alone)
    assert any("loose.fit lies directly in the inbox" in s for s in inbox.left_alone)


def test_no_inbox_is_an_empty_inbox(tmp_path):
    assert read_inbox(tmp_path / "nothing").sessions == {}


def test_special_files_are_left_alone(tmp_path):
    folder = tmp_path / "s"
    folder.mkdir()
    os.mkfifo(folder / "pipe.fit")
    (folder / "bad\nname.fit").write_text("")
    inbox = read_inbox(tmp_path)
    assert inbox.sessions["s"].exports == {}
    assert any("pipe.fit is not a file" in sentence for sentence in inbox.left_alone)
    assert any(r"'bad\nname.fit'" in sentence for sentence in inbox.left_alone)


def test_names_that_come_out_alike_stay_apart(tmp_path):
    assert unique_slugs(["a.fit", "a.csv", "b.fit"], by_stem=True) == {
        "a.fit": "a-fit",
        "a.csv": "a-csv",
        "b.fit": "b",
    }
    slugs = unique_slugs(["Run", "run", "run!"])
    assert len(set(slugs.values())) == 3
    assert all(value.startswith("run-") for value in slugs.values())


@given(st.lists(st.text(min_size=1), unique=True, max_size=8), st.booleans())
def test_slugs_are_safe_distinct_and_stable(names, by_stem):
    slugs = unique_slugs(names, by_stem)
    assert len(set(slugs.values())) == len(names)
    assert all(set(s) <= SAFE and 0 < len(s) <= 60 for s in slugs.values())
    assert unique_slugs(reversed(names), by_stem) == slugs


def test_slug_keeps_what_can_be_kept():
    assert slug("../../Übung №1") == "ubung-no1"
    assert slug("心拍").startswith("x-")
    assert slug("心拍") != slug("脈拍")


def test_devices_named(tmp_path):
    card = tmp_path / "session.yaml"
    card.write_text("recordings: [{file: a, device: strap}, {file: b, device: watch}]")
    assert devices_named(card) == {"strap", "watch"}
    card.write_text("recordings: [")
    assert devices_named(card) is None
    assert devices_named(None) is None
