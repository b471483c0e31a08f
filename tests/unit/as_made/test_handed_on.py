"""Editions, packages and publications that are not what they were when they were made."""

import hashlib
import json
import os
import shutil
import zipfile

import pytest

from strapline.keeping.as_made.handed_on import changed, not_as_made
from strapline.keeping.as_made.look import Look
from strapline.keeping.receipts import Order, Places

PICTURE = "results/publish/devices/traces.svg"


@pytest.fixture
def places(tmp_path):
    return Places(tmp_path / "results", tmp_path / "inbox")


@pytest.fixture
def look(places):
    return Look(places, {}, {"publish_archive": "m"}, {}.get)


def write(places, name, content):
    path = places.path_of(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(content)


def package(path, content, said):
    path.parent.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("results/ledger.json", content)
        sha256 = hashlib.sha256(said.encode()).hexdigest()
        archive.writestr("results.sha256", f"{sha256}  ledger.json\n")


def test_a_publication_is_told_for_as_long_as_it_is_there(look, places):
    write(places, PICTURE, "a picture")
    folder = places.path_of(PICTURE).parent
    order = Order("publish_archive", "m", {}, (), (str(folder),), places)
    order.leave_receipt({})
    assert not list(changed(look))
    write(places, PICTURE, "another picture")
    for _ in range(2):
        assert list(changed(look)) == [PICTURE]
    places.path_of(PICTURE).unlink()
    assert list(changed(look)) == [PICTURE]
    folder.rmdir()
    assert not list(changed(look))


def test_an_edition_is_told_from_when_it_was_first_seen(look, places):
    names = [f"results/editions/0001-abcdef01/{n}" for n in ("edition.json", "parts/a.parquet")]
    for name in names:
        write(places, name, "as made")
    write(places, "results/editions/in_force.json", "1")
    assert not list(changed(look))
    write(places, "results/editions/in_force.json", "22")
    os.utime(places.path_of(names[1]), ns=(1, 1))
    assert not list(changed(look))
    write(places, names[1], "otherwise")
    places.path_of(names[0]).unlink()
    for _ in range(2):
        assert list(changed(look)) == names
    shutil.rmtree(places.results / "editions")
    assert not list(changed(look))
    write(places, names[1], "of a count that begins anew")
    assert not list(changed(look))


def test_an_edition_that_says_what_its_files_were_needs_no_note(look, places):
    folder = "results/editions/0001-abcdef01"
    name, part = f"{folder}/edition.json", f"{folder}/parts/a.parquet"
    sha256 = hashlib.sha256(b"as made").hexdigest()
    write(places, name, json.dumps({"files": {"parts/a.parquet": sha256}}))
    write(places, part, "as made")
    assert not list(not_as_made(places, {}))
    write(places, part, "as maid")
    assert list(changed(look)) == list(not_as_made(places, {})) == [part]
    places.path_of(part).unlink()
    assert list(changed(look)) == list(not_as_made(places, {})) == [part]


def test_sizes_and_times_alone_do_not_do_for_a_check(look, places):
    name = "results/editions/0001-abcdef01/edition.json"
    write(places, name, "as made")
    assert not list(changed(look))
    then = places.path_of(name).stat().st_mtime_ns
    write(places, name, "as maid")
    os.utime(places.path_of(name), ns=(then, then))
    assert not list(changed(look))
    assert list(not_as_made(places, look.notes)) == [name]


def test_a_package_is_told_unless_it_was_packed_anew(look, places):
    name = "results/packages/first.zip"
    path = places.path_of(name)
    package(path, "1", "1")
    assert not list(changed(look))
    package(path, "22", "22")
    assert not list(changed(look))
    package(path, "333", "22")
    assert list(changed(look)) == [name]
    for content in (b"", b"PK"):
        path.write_bytes(content)
        assert list(changed(look)) == [name]
    path.unlink()
    assert not list(changed(look))
    path.symlink_to(places.results)
    assert list(changed(look)) == [name]
