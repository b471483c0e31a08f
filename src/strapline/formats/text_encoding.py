"""Text out of bytes whose encoding nobody stated."""

import codecs

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_HEAD = 4096
# Control characters that do not occur in text, escape (0x1B) aside.
_UNPRINTABLE = frozenset(range(32)) - set(b"\t\n\v\f\r\x1b")


def decoded(data: bytes) -> str | None:
    """`data` as text from UTF-8, UTF-16 or Latin-1; None if it is no text."""
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return _printable(data[len(mark) :].decode(encoding, errors="replace"))
    unmarked = _unmarked_utf_16(data[:_HEAD])
    if unmarked:
        return _printable(data.decode(unmarked, errors="replace"))
    try:
        return _printable(data.decode("utf-8"))
    except UnicodeDecodeError:
        return _printable(data.decode("latin-1"))


def _unmarked_utf_16(head: bytes) -> str | None:
    """In UTF-16 nearly every other byte of figures and Western letters is zero."""
    even, odd = head[::2], head[1::2]
    if odd.count(0) > 0.7 * len(odd) and even.count(0) == 0:
        return "utf-16-le"
    if even.count(0) > 0.7 * len(even) and odd.count(0) == 0:
        return "utf-16-be"
    return None


def _printable(text: str) -> str | None:
    return None if any(ord(letter) in _UNPRINTABLE for letter in text[:_HEAD]) else text
