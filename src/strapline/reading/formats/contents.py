"""The bytes of a raw file, read once, and what is packed in them with gzip or zip: in memory only,
and never more than fits there."""

import io
import os
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from strapline.reading.formats.export import MOST_BYTES, UnreadableExport

_GZIP, _ZIP = b"\x1f\x8b", (b"PK\x03\x04", b"PK\x05\x06")
_CHUNK = 64 * 1024
MOST_MEMBERS = 50
_LARGEST_DIRECTORY = 1024**2
_METHODS = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
_ENCRYPTED = 0x1

# What the unpacking raises at damage, an offset before the file's beginning among it.
_DAMAGED = (
    zipfile.BadZipFile, zlib.error, struct.error, ValueError, EOFError, RuntimeError, OSError,
)  # fmt: skip

_BROKEN = "The packed file is broken off or damaged; export or download it again."
_TOO_LARGE = (
    f"The packed file holds more than {MOST_BYTES // 1024**2} MiB; unpack it and take this "
    "session alone."
)
# What every file of office programs holds (Office Open XML, OpenDocument).
_OF_SPREADSHEETS = {"[Content_Types].xml", "META-INF/manifest.xml"}
_SPREADSHEET = "The file is from an office program; save its table there as CSV."
NESTED = "The packed file holds another packed file; unpack it and take the export itself."
_TOO_MANY = "The archive holds too many files; unpack it and take those of your sessions."
SEVERAL = (
    "The archive holds more files than one session's; type `strapline unpack` with its name to lay "
    "those beside your recordings that share time with them."
)


def content_of(path: str | os.PathLike[str]) -> bytes:
    """All that the file at `path` holds. Raises UnreadableExport for what is no file, or none of a
    session's size, or cannot be read."""
    try:
        _refuse_unsuitable(Path(path).stat())
        with Path(path).open("rb") as file:
            return file.read()
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


def contents_in(content: bytes) -> Iterator[BinaryIO]:
    """What is packed in a file's content, one by one, or the content itself; of a zip archive at
    most 50 files, wherever its paths point. Raises UnreadableExport where it is damaged, encrypted
    or too large."""
    file = io.BytesIO(content)
    if is_zip(file):
        yield from (unpacked for _, unpacked in members(file, MOST_MEMBERS, MOST_BYTES))
    else:
        yield _from_gzip(file) if content.startswith(_GZIP) else file


def refuse_packed(file: BinaryIO) -> None:
    """Raise UnreadableExport for what is packed twice; the file then stands at its start."""
    if is_zip(file) or _head(file).startswith(_GZIP):
        raise UnreadableExport(NESTED)


def is_zip(file: BinaryIO) -> bool:
    return _head(file) in _ZIP


def _head(file: BinaryIO) -> bytes:
    file.seek(0)
    head = file.read(4)
    file.seek(0)
    return head


def _from_gzip(file: BinaryIO) -> BinaryIO:
    unpacked = io.BytesIO()
    unpacker = zlib.decompressobj(wbits=31)
    try:
        while packed := unpacker.unconsumed_tail or unpacker.unused_data or file.read(_CHUNK):
            if unpacker.eof:
                if not packed.strip(b"\0"):  # padding
                    break
                unpacker = zlib.decompressobj(wbits=31)
            unpacked.write(unpacker.decompress(packed, _CHUNK))
            if unpacked.tell() > MOST_BYTES:
                raise UnreadableExport(_TOO_LARGE)
    except zlib.error:
        raise UnreadableExport(_BROKEN) from None
    if not unpacker.eof:
        raise UnreadableExport(_BROKEN)
    return unpacked


def members(file: BinaryIO, most: int, most_bytes: int) -> Iterator[tuple[str, io.BytesIO]]:
    """The names, without their folders, and contents of a zip archive of at most `most` files and
    `most_bytes` unpacked. Raises UnreadableExport where it is damaged, encrypted or larger."""
    try:
        with zipfile.ZipFile(_InBits(file)) as archive:
            contents = [member for member in archive.infolist() if _is_content(member)]
            if any(member.filename in _OF_SPREADSHEETS for member in contents):
                raise UnreadableExport(_SPREADSHEET)
            if len(contents) > most:
                raise UnreadableExport(SEVERAL if most == MOST_MEMBERS else _TOO_MANY)
            left = most_bytes
            for member in contents:
                content = _unpacked(archive, member, min(left, MOST_BYTES))
                left -= len(content.getbuffer())
                yield member.filename.replace("\\", "/").rpartition("/")[2], content
    except UnreadableExport:
        raise
    except _DAMAGED:
        raise UnreadableExport(_BROKEN) from None


def _unpacked(archive: zipfile.ZipFile, member: zipfile.ZipInfo, most: int) -> io.BytesIO:
    if member.flag_bits & _ENCRYPTED:
        raise UnreadableExport("The archive is encrypted; unpack it with its password first.")
    if member.compress_type not in _METHODS:
        raise UnreadableExport(
            "The archive is packed in a way Strapline does not read; unpack it first."
        )
    content = io.BytesIO()
    with archive.open(member) as packed:
        while chunk := packed.read(_CHUNK):
            content.write(chunk)
            if content.tell() > most:
                raise UnreadableExport(_TOO_LARGE)
    return content


def _is_content(member: zipfile.ZipInfo) -> bool:
    """Not a folder, and not what some systems put beside each file unasked."""
    parts = member.filename.replace("\\", "/").split("/")
    hidden = parts[-1].startswith(".") or "__MACOSX" in parts
    return not (member.is_dir() or hidden)


class _InBits:
    """A file of which no large piece is read at once: an archive's directory may lie about it."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self.seek, self.tell, self.seekable = file.seek, file.tell, file.seekable

    def read(self, size: int = -1) -> bytes:
        most = _LARGEST_DIRECTORY + 1
        piece = self._file.read(most if size < 0 else min(size, most))
        if len(piece) == most:
            raise UnreadableExport(
                "The archive's directory is damaged or too large; unpack it and take this session "
                "alone."
            )
        return piece
