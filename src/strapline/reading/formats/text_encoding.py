"""Text out of bytes whose encoding nobody stated."""

import codecs
import io
from collections.abc import Iterator
from typing import BinaryIO

from strapline.reading.formats.export import UnreadableExport

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_HEAD = 4096
_CHUNK = 1024**2
_LONGEST_LINE = 1024**2
# Control characters that do not occur in text, escape (0x1B) aside.
_UNPRINTABLE = frozenset(range(32)) - set(b"\t\n\v\f\r\x1b")


def encoding_of(file: BinaryIO) -> str | None:
    """UTF-8, UTF-16 or Latin-1, as the text in `file` has it; None if it is no text."""
    file.seek(0)
    head = file.read(_HEAD)
    marked = (encoding for mark, encoding in _MARKS if head.startswith(mark))
    encoding = next(marked, None) or _unmarked_utf_16(head)
    if encoding is None:
        encoding = "utf-8" if _is_utf_8(file) else "latin-1"
    text = head[: len(head) // 2 * 2].decode(encoding, errors="replace")
    return encoding if _UNPRINTABLE.isdisjoint(map(ord, text)) else None


def text_in(file: BinaryIO, most_bytes: int = _HEAD) -> str:
    """The text in `file`, or its beginning where that is longer; empty where there is none."""
    encoding = encoding_of(file)
    file.seek(0)
    return file.read(most_bytes).decode(encoding, errors="replace") if encoding else ""


def lines(file: BinaryIO) -> Iterator[str]:
    """The lines of `file` with whatever ends them, one at a time; none where it is no text.

    Raises UnreadableExport at a line that no table has.
    """
    encoding = encoding_of(file)
    if encoding is None:
        return
    file.seek(0)
    text = io.TextIOWrapper(file, encoding, errors="replace", newline="")
    try:
        while line := text.readline(_LONGEST_LINE):
            if len(line) == _LONGEST_LINE:
                raise UnreadableExport(
                    "The file holds a line of a million characters, so it is no table; "
                    "export the session again."
                )
            yield line
    finally:
        if not file.closed:
            text.detach()  # or it would close the file with itself


def _is_utf_8(file: BinaryIO) -> bool:
    file.seek(0)
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        while chunk := file.read(_CHUNK):
            decoder.decode(chunk)
    except UnicodeDecodeError:
        return False
    return True  # a file may be cut within its last letter


def _unmarked_utf_16(head: bytes) -> str | None:
    """In UTF-16 nearly every other byte of figures and Western letters is zero."""
    even, odd = head[::2], head[1::2]
    if odd.count(0) > 0.7 * len(odd) and even.count(0) == 0:
        return "utf-16-le"
    if even.count(0) > 0.7 * len(even) and odd.count(0) == 0:
        return "utf-16-be"
    return None
