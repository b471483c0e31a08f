"""Sessions that cannot be read or written now."""

import os

from strapline.keeping.receipts import Places
from strapline.reading.inbox.discovery import Inbox, SessionFolder
from strapline.running.unread import locked, without


def test_a_session_whose_results_may_not_be_written_waits_and_no_other(tmp_path, monkeypatch):
    """As told by the system; a test may run as a user who may write everything."""
    for name in ("a", "b/raw", "c"):
        (tmp_path / "sessions" / name).mkdir(parents=True)
    closed = {str(tmp_path / "sessions" / name) for name in ("b/raw", "c")}
    monkeypatch.setattr(os, "access", lambda path, mode: str(path) not in closed)
    inbox = Inbox({name: SessionFolder(name, name, None, ()) for name in "abcd"})
    faults = locked(inbox, Places(tmp_path, tmp_path / "inbox"))
    assert list(faults) == ["b", "c"]
    assert faults["b"].startswith(f"{tmp_path / 'sessions' / 'b' / 'raw'} may not be written")
    left = without(inbox, faults)
    assert list(left.sessions) == ["a", "d"]
    assert left.expected == {"b", "c"}
    assert left.left_alone == tuple(f"{name}: {why}" for name, why in faults.items())


def test_what_is_in_the_place_of_a_folder_locks_nothing(tmp_path):
    """It is moved aside, and the folder made again; a link is not asked what it leads to."""
    for name in "abc":
        (tmp_path / "sessions" / name).mkdir(parents=True)
    (tmp_path / "sessions" / "a" / "raw").write_text("mine")
    (tmp_path / "sessions" / "b" / "charts").symlink_to("/proc/version")
    (tmp_path / "sessions" / "c").rmdir()
    (tmp_path / "sessions" / "c").symlink_to("/proc/self")
    inbox = Inbox({name: SessionFolder(name, name, None, ()) for name in "abc"})
    assert locked(inbox, Places(tmp_path, tmp_path / "inbox")) == {}
