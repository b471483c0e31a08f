import hashlib
import os
import threading

from strapline.ground.settings import Settings
from strapline.reading.inbox import raw_files
from strapline.reading.inbox.discovery import read_inbox
from strapline.reading.inbox.raw_files import being_copied, contents


def test_another_content_is_seen_whatever_the_size_and_time(tmp_path):
    inbox, kept = tmp_path / "inbox", tmp_path / "kept.json"
    inbox.mkdir()
    path = inbox / "strap.csv"
    for content in (b"one", b"two"):
        path.write_bytes(content)
        os.utime(path, (1, 1))
        assert contents([path], inbox, kept) == {path: hashlib.sha256(content).hexdigest()}


def test_a_file_is_read_once(tmp_path, monkeypatch):
    inbox, kept = tmp_path / "inbox", tmp_path / "kept.json"
    inbox.mkdir()
    (inbox / "strap.csv").write_text("one")
    first = contents([inbox / "strap.csv"], inbox, kept)
    monkeypatch.setattr("strapline.reading.inbox.raw_files.sha256_of", lambda path: "read again")
    assert contents([inbox / "strap.csv"], inbox, kept) == first


def test_a_session_waits_for_the_file_that_grows_and_no_other_does(tmp_path):
    for name in ("run", "ride"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "strap.csv").write_text("")
    done = threading.Event()

    def copy() -> None:
        while not done.wait(0.05):
            with (tmp_path / "run" / "strap.csv").open("a") as file:
                file.write("90\n")

    copying = threading.Thread(target=copy)
    copying.start()
    growing = being_copied(tmp_path)
    done.set()
    copying.join()
    assert growing == {tmp_path / "run" / "strap.csv"}
    inbox = read_inbox(tmp_path, Settings(), tmp_path.parent / "results", growing)
    assert inbox.sessions.keys() == {"ride"} and inbox.expected == {"run"}
    assert inbox.waiting[0].startswith("run: strap.csv is still being copied")
    assert being_copied(tmp_path) == set()


def test_what_could_not_be_read_is_tried_again(tmp_path, monkeypatch):
    inbox, kept = tmp_path / "inbox", tmp_path / "raw_files.json"
    inbox.mkdir()
    path = inbox / "strap.csv"
    path.write_bytes(b"1")
    with monkeypatch.context() as broken:
        broken.setattr(raw_files, "sha256_of", lambda path: None)
        assert contents([path], inbox, kept) == {path: ""}
    assert contents([path], inbox, kept) == {path: hashlib.sha256(b"1").hexdigest()}
