"""What a tester may have handed on: editions, packages, publications. Where one of them is not as
it was made it is told, and never made again for that."""

import hashlib
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from pydantic import BaseModel

from strapline.ground.files import model_at
from strapline.keeping.as_made.look import Look
from strapline.keeping.as_made.notes import FOLDER, Job, Note, State, as_noted, states
from strapline.keeping.editions.files import RECORD
from strapline.keeping.packaging.explained import SUMS
from strapline.keeping.receipts import FOLDER as RECEIPTS
from strapline.keeping.receipts import Places, files_in, read_receipt

PUBLICATIONS = "publish"
EDITIONS = "[0-9]*"
# What no file has.
UNSEEN: State = (-2, -2)


class OfFiles(BaseModel):
    """Of an edition's record, the SHA-256 of its files."""

    files: dict[str, str] = {}


def changed(look: Look) -> Iterator[str]:
    """Names of the files that are not as they were made. What is seen for the first time is
    noted, for editions and packages have no receipt."""
    results = look.places.results
    yield from _publications(look)
    for name in [n for n in look.notes if n.startswith("results/editions/")]:
        if not look.is_there(name):
            # Thrown away; the count begins anew.
            del look.notes[name]
    for folder in sorted((results / "editions").glob(EDITIONS)):
        yield from _edition(look, look.places.name_of(folder))
    for file in sorted((results / "packages").glob("*.zip")):
        yield from _package(look, look.places.name_of(file), file)


def not_as_made(places: Places, notes: Mapping[str, Note]) -> Iterator[str]:
    """The same, with every file read; nothing is noted."""
    unsure = {
        name: note.model_copy(update={"files": dict.fromkeys(note.files, UNSEEN)})
        for name, note in notes.items()
    }
    yield from changed(Look(places, unsure, {}, lambda name: None))


def _publications(look: Look) -> Iterator[str]:
    notes = look.places.results / RECEIPTS / PUBLICATIONS
    for path in files_in(notes):
        within = path.relative_to(notes.parent).as_posix().removesuffix(".json")
        name = f"results/{within}"
        note, is_there = look.notes.get(name), look.is_there(name)
        if is_there and not (note and as_noted(str(look.places.results), note.files)):
            receipt = read_receipt(path)
            if receipt is not None:
                found = look.at(Job(receipt.stage, {name: name not in receipt.outputs}))
                yield from (*found.gone, *found.altered)


def _edition(look: Look, name: str) -> Iterator[str]:
    results, folder = str(look.places.results), look.places.path_of(name)
    note = look.notes.get(name)
    if note and as_noted(results, note.files):
        return
    # Older ones say nothing of their other files.
    record = model_at(folder / RECORD, OfFiles) or OfFiles()
    made = {f"{name}/{file}": sha256 for file, sha256 in record.files.items()}
    made |= note.sha256 if note else {}
    files = {*map(look.places.name_of, files_in(folder)), *made}
    now = {file: look.places.sha256_of(file) or "" for file in files}
    wrong = [file for file, sha256 in now.items() if made.get(file, sha256) != sha256]
    if not wrong:
        look.notes[name] = Note(method="", sha256=now, files=states(results, files))
    yield from sorted(wrong)


def _package(look: Look, name: str, path: Path) -> Iterator[str]:
    """One that is written anew is another, and right if it holds what it says."""
    now = states(str(look.places.results), [name])
    note = look.notes.get(name)
    if not now or not (note and note.files == now):
        if now and FOLDER not in now.values() and _holds_what_it_says(path):
            look.notes[name] = Note(method="", sha256={}, files=now)
        else:
            yield name


def _holds_what_it_says(package: Path) -> bool:
    """By its list of sums, lines as sha256sum reads them."""
    try:
        with zipfile.ZipFile(package) as archive:
            lines = [line.split("  ", 1) for line in archive.read(SUMS).decode().splitlines()]
            return all(
                hashlib.sha256(archive.read(f"results/{file}")).hexdigest() == sha256
                for sha256, file in lines
            )
    except (OSError, ValueError, KeyError, zipfile.BadZipFile):
        return False
