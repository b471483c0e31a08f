"""Reading raw exports: one reader a file format, chosen by what the file holds."""

import io
import os
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, TypeVar

from strapline.reading.formats import headings, packed, sentences, several
from strapline.reading.formats.csv_text import read_csv
from strapline.reading.formats.export import Export, Hints, UndecidedExport, UnreadableExport
from strapline.reading.formats.fit import read_fit
from strapline.reading.formats.fit_messages import is_fit
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.identity import Identity, identity_in
from strapline.reading.formats.json_text import is_json, read_json
from strapline.reading.formats.limits import MOST_BYTES
from strapline.reading.formats.rr_text import is_rr_text, read_rr_text
from strapline.reading.formats.streams import settled
from strapline.reading.formats.text_encoding import beginning, encoding_of, lines
from strapline.reading.formats.track_xml import read_gpx, read_tcx
from strapline.reading.formats.xml_elements import root_name, seek_markup

__all__ = [
    "Export",
    "Headings",
    "Hints",
    "Identity",
    "Member",
    "UndecidedExport",
    "UnreadableExport",
    "read_export",
    "read_identity",
    "read_members",
]

_XML_READERS = {"TrainingCenterDatabase": read_tcx, "gpx": read_gpx}

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
    known, hints = words or headings.shipped(), hints or Hints()
    if hints.heart_rate:
        known = known.and_more({headings.HEART_RATE: [hints.heart_rate]})
    return settled(
        _read(path, lambda content: _read_unpacked(content, known, hints), several.joined)
    )


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
        if packed.packing(file) != "zip":
            raise UnreadableExport("This is no zip archive.")
        for name, content in packed.members(file, MOST_UNPACKED, MOST_UNPACKED_BYTES):
            content.seek(0)
            data = content.read()
            yield Member(name, data, _export_in(data, words))


def _export_in(data: bytes, words: Headings) -> Export | None:
    try:
        return settled(
            _unpacked(io.BytesIO(data), lambda file: _read_unpacked(file, words, Hints()), _none)
        )
    except UnreadableExport:
        return None


def _none(_: list[Export]) -> Export:
    raise UnreadableExport(packed.NESTED)


def read_identity(path: str | os.PathLike[str]) -> Identity:
    """What the file at `path` says of its device; nothing where it is no export."""
    try:
        return _read(path, identity_in, lambda _: Identity())
    except UnreadableExport:
        return Identity()


def _read(
    path: str | os.PathLike[str],
    read: Callable[[BinaryIO], _Found],
    joined: Callable[[list[_Found]], _Found],
) -> _Found:
    """What `read` makes of the file's content, unpacked, and `joined` of those of several."""
    try:
        _refuse_unsuitable(Path(path).stat())
        with Path(path).open("rb") as file:
            return _unpacked(file, read, joined)
    except OSError as error:
        reason = error.strerror or "unknown error"
        raise UnreadableExport(f"The file cannot be opened or read ({reason}).") from error


def _refuse_unsuitable(status: os.stat_result) -> None:
    # Opening a pipe or a device could wait for ever.
    if not stat.S_ISREG(status.st_mode):
        raise UnreadableExport("This is not a file; put the export itself in the session's folder.")
    if status.st_size == 0:
        raise UnreadableExport("The file is empty; export the session again.")
    if status.st_size > MOST_BYTES:
        raise UnreadableExport(
            f"The file is larger than {MOST_BYTES // 1024**2} MiB; export this session alone."
        )


def _unpacked(
    file: BinaryIO,
    read: Callable[[BinaryIO], _Found],
    joined: Callable[[list[_Found]], _Found],
) -> _Found:
    match packed.packing(file):
        case "gzip":
            return _once_unpacked(packed.from_gzip(file), read)
        case "zip":
            contents = packed.from_zip(file)
            return _all_of(contents, lambda content: _once_unpacked(content, read), joined)
    return _once_unpacked(file, read)


def _once_unpacked(file: BinaryIO, read: Callable[[BinaryIO], _Found]) -> _Found:
    if packed.packing(file):
        raise UnreadableExport(packed.NESTED)
    file.seek(0)
    return read(file)


def _all_of(
    contents: Iterator[BinaryIO],
    read: Callable[[BinaryIO], _Found],
    joined: Callable[[list[_Found]], _Found],
) -> _Found:
    """What is among `contents` that is an export, several joined; UnreadableExport for none."""
    found: list[_Found] = []
    reasons: list[str] = []
    for content in contents:
        try:
            found.append(read(content))
        except UnreadableExport as reason:
            reasons.append(str(reason))
    if found:
        return found[0] if len(found) == 1 else joined(found)
    if len(reasons) == 1:
        raise UnreadableExport(reasons[0])
    raise UnreadableExport("Nothing in the archive is an export Strapline can read; unpack it.")


def _read_unpacked(file: BinaryIO, words: Headings, hints: Hints) -> Export:
    if is_fit(file):
        return read_fit(file.read(), words)
    if seek_markup(file):
        return _read_xml(file)
    return _read_text(file, words, hints)


def _read_xml(file: BinaryIO) -> Export:
    start = file.tell()
    reader = _XML_READERS.get(root_name(file) or "")
    if reader is None:
        raise UnreadableExport(sentences.NO_FORMAT)
    file.seek(start)
    return reader(file)


def _read_text(file: BinaryIO, words: Headings, hints: Hints) -> Export:
    encoding = encoding_of(file)
    if encoding is None:
        raise UnreadableExport(sentences.NO_FORMAT)
    if is_json(beginning(file, encoding)):
        return read_json(file, encoding, words, hints)
    if is_rr_text(lines(file, encoding), words):
        return read_rr_text(lines(file, encoding), words)
    return read_csv(lines(file, encoding), words, hints)
