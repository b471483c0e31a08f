"""Reading raw exports: one reader a file format, chosen by what the file holds."""

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, TypeVar

from strapline.reading.formats import (
    csv_text,
    fit,
    gpx,
    headings,
    json_text,
    picture,
    rr_text,
    several,
    tcx,
)
from strapline.reading.formats.contents import (
    NESTED,
    content_of,
    contents_in,
    is_zip,
    members,
    refuse_packed,
)
from strapline.reading.formats.export import Export, Hints, UndecidedExport, UnreadableExport
from strapline.reading.formats.heading import Meaning
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.identity import Identity, identity_in
from strapline.reading.formats.reader import NO_FORMAT, Reader
from strapline.reading.formats.streams import settled
from strapline.reading.formats.unread import headings_in

__all__ = [
    "READERS",
    "Export",
    "Headings",
    "Hints",
    "Identity",
    "Member",
    "UndecidedExport",
    "UnreadableExport",
    "content_of",
    "export_in",
    "read_export",
    "read_headings",
    "read_identity",
    "read_members",
]

# Each is asked where those before it do not recognise the content.
READERS: tuple[Reader, ...] = (picture, fit, tcx, gpx, json_text, rr_text, csv_text)

# Of an archive of a whole history.
MOST_UNPACKED, MOST_UNPACKED_BYTES = 5000, 4 * 1024**3

_Found = TypeVar("_Found")


def read_export(
    path: str | os.PathLike[str], words: Headings | None = None, hints: Hints | None = None
) -> Export:
    """All that the file at `path` says, in file order, nothing dropped and nothing corrected.

    The format is told from the content, never from the name, and also where that is packed with
    gzip or zip; of several exports in a zip, the streams are all of theirs. `words` are those that
    headings are told by, as shipped if not given; `hints` settle what the file leaves open.
    Positions are not read. Raises UnreadableExport, with a sentence for the tester, for whatever
    cannot be used.
    """
    return export_in(content_of(path), words, hints)


def export_in(content: bytes, words: Headings | None = None, hints: Hints | None = None) -> Export:
    """The same of a file's content."""
    known, hints = words or headings.shipped(), hints or Hints()
    if hints.heart_rate:
        known = known.and_more({Meaning.HEART_RATE: [hints.heart_rate]})
    return settled(_of_each(content, lambda file: _read(file, known, hints), several.joined))


@dataclass(frozen=True)
class Member:
    """A file in an archive, by its name without folders; `export` is None where it is none."""

    name: str
    content: bytes
    export: Export | None


def read_members(path: str | os.PathLike[str], words: Headings) -> Iterator[Member]:
    """All files of the zip archive at `path`, at most 5,000 and 4 GiB unpacked, one by one.

    Raises UnreadableExport where it is none, or larger.
    """
    with Path(path).open("rb") as file:
        if not is_zip(file):
            raise UnreadableExport("This is no zip archive.")
        for name, content in members(file, MOST_UNPACKED, MOST_UNPACKED_BYTES):
            data = content.getvalue()
            yield Member(name, data, _member(data, words))


def _member(data: bytes, words: Headings) -> Export | None:
    try:
        return settled(_of_each(data, lambda file: _read(file, words, Hints()), _none))
    except UnreadableExport:
        return None


def _none(_: list[Export]) -> Export:
    raise UnreadableExport(NESTED)


def read_identity(path: str | os.PathLike[str]) -> Identity:
    """What the file at `path` says of its device; nothing where it is no export."""
    try:
        return _of_each(content_of(path), identity_in, lambda _: Identity())
    except UnreadableExport:
        return Identity()


def read_headings(path: str | os.PathLike[str], words: Headings) -> list[tuple[str, str | None]]:
    """The headings of the table at `path`, each with what it means, None where nothing is known of
    it; none where the file is no table as text. Raises UnreadableExport where it cannot be read."""

    def found(file: BinaryIO) -> list[tuple[str, str | None]]:
        reader = next((one for one in READERS if one.recognises(file, words)), None)
        return list(headings_in(file, words)) if reader is csv_text else []

    return _of_each(content_of(path), found, lambda files: files[0])


def _of_each(
    content: bytes, read: Callable[[BinaryIO], _Found], joined: Callable[[list[_Found]], _Found]
) -> _Found:
    """What is read of a file, or of each export that is packed in it, several joined."""
    found: list[_Found] = []
    refusals: list[UnreadableExport] = []
    for file in contents_in(content):
        try:
            refuse_packed(file)
            found.append(read(file))
        except UnreadableExport as refusal:
            refusals.append(refusal)
    if found:
        return found[0] if len(found) == 1 else joined(found)
    if len(refusals) == 1:
        raise refusals[0]
    raise UnreadableExport("Nothing in the archive is an export Strapline can read; unpack it.")


def _read(file: BinaryIO, words: Headings, hints: Hints) -> Export:
    for reader in READERS:
        if reader.recognises(file, words):
            return reader.read(file, words, hints)
    raise UnreadableExport(NO_FORMAT)
