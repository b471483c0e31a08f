"""Reading raw exports: one reader a file format, chosen by what the file holds."""

import os
import stat
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import BinaryIO, TypeVar

from strapline.reading.formats import headings, packed, sentences
from strapline.reading.formats.csv_text import read_csv
from strapline.reading.formats.export import Export, Hints, UndecidedExport, UnreadableExport
from strapline.reading.formats.fit import read_fit
from strapline.reading.formats.fit_messages import is_fit
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.identity import Identity, identity_in
from strapline.reading.formats.json_text import is_json, read_json
from strapline.reading.formats.limits import MOST_BYTES
from strapline.reading.formats.rr_text import is_rr_text, read_rr_text
from strapline.reading.formats.text_encoding import beginning, encoding_of, lines
from strapline.reading.formats.track_xml import read_gpx, read_tcx
from strapline.reading.formats.xml_elements import root_name, seek_markup

__all__ = [
    "Export",
    "Headings",
    "Hints",
    "Identity",
    "UndecidedExport",
    "UnreadableExport",
    "read_export",
    "read_identity",
]

_XML_READERS = {"TrainingCenterDatabase": read_tcx, "gpx": read_gpx}

_Found = TypeVar("_Found")


def read_export(
    path: str | os.PathLike[str], words: Headings | None = None, hints: Hints | None = None
) -> Export:
    """All that the file at `path` says, in file order, nothing dropped and nothing corrected.

    The format is told from the content, never from the name, and also where that is packed with
    gzip or zip. `words` are those that headings are told by, as shipped if not given; `hints`
    settle what the file leaves open. Positions are not read. Raises UnreadableExport, with a
    sentence for the tester, for whatever cannot be used.
    """
    known, hints = words or headings.shipped(), hints or Hints()
    if hints.heart_rate:
        known = known.and_more({headings.HEART_RATE: [hints.heart_rate]})
    return _read(path, lambda content: _read_unpacked(content, known, hints))


def read_identity(path: str | os.PathLike[str]) -> Identity:
    """What the file at `path` says of its device; nothing where it is no export."""
    try:
        return _read(path, identity_in)
    except UnreadableExport:
        return Identity()


def _read(path: str | os.PathLike[str], read: Callable[[BinaryIO], _Found]) -> _Found:
    """What `read` makes of the file's content, unpacked."""
    try:
        _refuse_unsuitable(Path(path).stat())
        with Path(path).open("rb") as file:
            return _unpacked(file, read)
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


def _unpacked(file: BinaryIO, read: Callable[[BinaryIO], _Found]) -> _Found:
    match packed.packing(file):
        case "gzip":
            return _once_unpacked(packed.from_gzip(file), read)
        case "zip":
            contents = packed.from_zip(file)
            return _only_one(contents, lambda content: _once_unpacked(content, read))
    return _once_unpacked(file, read)


def _once_unpacked(file: BinaryIO, read: Callable[[BinaryIO], _Found]) -> _Found:
    if packed.packing(file):
        raise UnreadableExport(packed.NESTED)
    file.seek(0)
    return read(file)


def _only_one(contents: Iterator[BinaryIO], read: Callable[[BinaryIO], _Found]) -> _Found:
    """The one of `contents` that is an export; UnreadableExport if there are none or several."""
    found: _Found | None = None
    reasons: list[str] = []
    for content in contents:
        try:
            export = read(content)
        except UnreadableExport as reason:
            reasons.append(str(reason))
            continue
        if found is not None:
            raise UnreadableExport(packed.SEVERAL)
        found = export
    if found is not None:
        return found
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
