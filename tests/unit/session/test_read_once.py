"""Whatever is read of a file is read once, until the file is another."""

import os

import pytest

from strapline.reading.inbox.read_once import Entries, ReadOnce, forget


@pytest.fixture
def inbox(tmp_path):
    (tmp_path / "inbox" / "run").mkdir(parents=True)
    (tmp_path / "inbox" / "run" / "strap.csv").write_text("one")
    return tmp_path / "inbox"


@pytest.fixture
def asked(inbox):
    """Asks in a new run, and notes what was read for it."""
    taken = []

    def ask(read=lambda path: path.read_text(), read_by=""):
        def noting(path):
            taken.append(path.name)
            return read(path)

        once = ReadOnce(inbox, inbox.parent / "kept.json", Entries[str], noting, read_by)
        found = once.of(inbox / "run" / "strap.csv")
        once.keep()
        return found

    ask.taken = taken
    return ask


def test_a_file_is_read_once_in_two_runs(asked):
    assert [asked(), asked()] == ["one", "one"]
    assert len(asked.taken) == 1


def test_another_content_is_seen_though_size_and_time_are_set_back(inbox, asked):
    file = inbox / "run" / "strap.csv"
    asked()
    status = file.stat()
    file.write_text("two")
    os.utime(file, ns=(status.st_atime_ns, status.st_mtime_ns))
    assert asked() == "two"


def test_other_means_of_reading_read_again(asked):
    assert (asked(), asked(lambda path: "ONE", "capitals")) == ("one", "ONE")


def test_what_could_not_be_read_is_tried_again(asked):
    assert asked(lambda path: None) is None
    assert asked() == "one"


def test_a_file_that_is_gone_is_not_kept(inbox, asked):
    asked()
    (inbox / "run" / "strap.csv").unlink()
    assert asked() is None
    assert (inbox.parent / "kept.json").read_text().split() == ["{}"]


@pytest.mark.parametrize("content", ["{", "[1]", '{"run/strap.csv": {"size": 3}}'])
def test_what_is_kept_otherwise_costs_time_only(inbox, asked, content):
    (inbox.parent / "kept.json").write_text(content)
    assert asked() == "one"


def test_what_is_forgotten_leaves_no_name(inbox, asked):
    asked()
    forget(inbox.parent / "kept.json", ["run/strap.csv"])
    assert "strap" not in (inbox.parent / "kept.json").read_text()
    asked()
    assert len(asked.taken) == 2
