"""Photos and the like in the inbox: no sessions, no jobs, a line for all."""

import json
import os

import pytest
import vl_convert as vlc

from fuzz.valid_files import FILES
from strapline.ground.settings import Settings
from strapline.reading.inbox import no_exports
from strapline.reading.inbox.discovery import read_inbox
from strapline.reading.inbox.no_exports import kind_of_head

JPEG = b"\xff\xd8\xff\xe0\0\x10JFIF\0\x01\x01\0\0\x01\0\x01\0\0"
EXPORT = "time,heart_rate\n2026-03-02T18:05:00Z,90\n2026-03-02T18:05:01Z,91\n"
CHART = {"mark": "point", "data": {"values": [{}]}}


@pytest.fixture
def inbox(tmp_path):
    folder = tmp_path / "inbox"
    folder.mkdir()
    return folder


def read(inbox):
    return read_inbox(inbox, Settings(), inbox.parent)


def write(path, content):
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(content if isinstance(content, bytes) else content.encode())


@pytest.mark.parametrize(
    ("kind", "encode"),
    [
        ("PNG picture", vlc.vegalite_to_png),
        ("JPEG picture", vlc.vegalite_to_jpeg),
        ("PDF document", vlc.vegalite_to_pdf),
    ],
)
def test_what_another_program_writes_is_known(kind, encode):
    assert kind_of_head(encode(CHART)[: no_exports.HEAD_BYTES]) == kind


# Beginnings by the specifications named in the module, from memory.
@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC or AVIF picture"),
        (b"\0\0\0\x20ftypisom\0\0\2\0", "MP4 or QuickTime film"),
        (b"RIFF\x24\0\0\0WEBPVP8 ", "WebP picture"),
        (b"RIFF\x24\0\0\0????", None),
        (b"GIF89a\1\0\1\0", "GIF picture"),
        (b"II*\0\x08\0\0\0", "TIFF or raw picture"),
        (b"ID3,time,heart_rate", None),
        (b"", None),
        (b"PK\x03\x04", None),
    ],
)
def test_a_head_tells_the_kind(head, kind):
    assert kind_of_head(head) == kind


@pytest.mark.parametrize("name", sorted(FILES.keys() - {"picture"}))
def test_no_export_is_taken_for_anything_else(name):
    assert kind_of_head(FILES[name][: no_exports.HEAD_BYTES]) is None


def test_folders_without_an_export_are_one_line_in_all(inbox):
    for number in range(20):
        for photo in range(3):
            write(inbox / f"trip {number:02}" / f"{photo}.jpg", JPEG)
    (inbox / "empty").mkdir()
    write(inbox / "run" / "strap.csv", EXPORT)
    found = read(inbox)
    assert list(found.sessions) == ["run"]
    assert found.left_alone == (
        "21 folders hold nothing that could be an export and are no sessions: empty, trip 00, "
        "trip 01 and 18 more.",
    )


def test_files_that_are_no_exports_are_a_line_by_kind(inbox):
    for number in range(1000):
        write(inbox / f"{number:04}.jpg", JPEG)
    write(inbox / "run" / "strap.csv", EXPORT)
    write(inbox / "run" / "finish.jpg", JPEG)
    write(inbox / "run" / "map.pdf", b"%PDF-1.7\n")
    found = read(inbox)
    assert [path.name for path in found.sessions["run"].exports] == ["strap.csv"]
    assert found.left_alone == (
        "1001 JPEG pictures are no exports and were not read: 0000.jpg, 0001.jpg, 0002.jpg and "
        "998 more. If an app’s curve is in it, type `strapline picture FILE` to have it read.",
        "1 PDF document is no export and was not read: run/map.pdf.",
    )


def test_loose_files_that_cannot_be_used_are_a_line_by_reason(inbox):
    for number in range(10):
        write(inbox / f"rr {number}.txt", "800\n810\n790\n" * 100)
    (sentence,) = read(inbox).left_alone
    assert sentence.startswith("rr 0.txt, rr 1.txt, rr 2.txt and 7 more lie directly in the inbox.")


def test_a_card_waits_for_exports_however_many_photos_there_are(inbox):
    write(inbox / "run" / "session.yaml", "activity: run\n")
    write(inbox / "run" / "start.jpg", JPEG)
    found = read(inbox)
    assert (found.sessions, found.waiting) == ({}, ("run",))


def test_a_folder_with_something_unread_keeps_its_place(inbox):
    write(inbox / "run" / "start.jpg", JPEG)
    os.mkfifo(inbox / "run" / "strap.fit")
    assert list(read(inbox).sessions) == ["run"]


def test_a_file_is_read_once_and_only_its_head(inbox, monkeypatch):
    photo = inbox / "run" / "start.jpg"
    write(photo, JPEG)
    write(inbox / "run" / "strap.csv", EXPORT)
    os.truncate(photo, 2**40)
    before = read(inbox)
    monkeypatch.setattr(no_exports, "kind_of_head", None)
    assert read(inbox) == before
    assert set(json.loads((inbox.parent / "heads.json").read_bytes())) == {
        "run/start.jpg",
        "run/strap.csv",
    }
    monkeypatch.undo()
    write(photo, EXPORT)
    assert len(read(inbox).sessions["run"].exports) == 2


def test_notes_that_cannot_be_read_cost_time_only(inbox):
    write(inbox / "run" / "start.jpg", JPEG)
    (inbox.parent / "heads.json").write_text("{")
    assert "1 folder holds nothing" in read(inbox).left_alone[0]
