"""Walking through XML of any length with little memory, and without its dangers."""

import codecs
from collections.abc import Iterator
from typing import BinaryIO
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import iterparse

from strapline.formats.export import UnreadableExport

# What the parser raises besides its own error comes from encodings it does not know.
_MALFORMED = (ParseError, LookupError, ValueError)

_HEAD = 4096
_DEEPEST = 100
_MARKUP = (
    (codecs.BOM_UTF8, b"<"),
    (codecs.BOM_UTF16_LE, b"<\0"),
    (codecs.BOM_UTF16_BE, b"\0<"),
    (b"", b"<"),
)


class XmlStream:
    """Iterates over the elements wanted of the XML in `file`, from where it stands.

    Yields (name of the parent, element). An element in `openings` comes when it opens, with its
    attributes only; one in `wholes` when it closes, with all it contains. Names are without
    their namespace. Everything else is forgotten as it is read. After the iteration, `is_broken`
    tells whether the XML ended before its time.

    Raises UnreadableExport where the XML defines entities, which can be made to fill any memory
    or to fetch other files.
    """

    def __init__(self, file: BinaryIO, openings: set[str], wholes: set[str]) -> None:
        self._file = file
        self._openings = openings
        self._wholes = wholes
        self.is_broken = False

    def __iter__(self) -> Iterator[tuple[str, Element]]:
        path: list[tuple[str, Element]] = [("", Element(""))]
        kept = 0
        for event, element in self._events():
            if event == "start":
                name = local_name(element)
                if name in self._openings:
                    yield path[-1][0], element
                path.append((name, element))
                if len(path) > _DEEPEST:
                    raise UnreadableExport("The file is not a track: its XML is nested too deep.")
                kept += name in self._wholes
                continue
            name, _ = path.pop()
            parent_name, parent = path[-1]
            kept -= name in self._wholes
            if name in self._wholes:
                yield parent_name, element
            if not kept and len(path) > 1:
                parent.remove(element)

    def _events(self) -> Iterator[tuple[str, Element]]:
        try:
            yield from _events(self._file, "start", "end")
        except UnreadableExport:
            raise
        except _MALFORMED:
            self.is_broken = True


def seek_markup(file: BinaryIO) -> bool:
    """Whether `file` starts with markup, and if so, moves there.

    Some programs write blank lines first, which the parser would not forgive.
    """
    file.seek(0)
    head = file.read(_HEAD)
    for mark, markup in _MARKUP:
        if head.startswith(mark) and head[len(mark) :].lstrip().startswith(markup):
            file.seek(head.index(markup) if mark == b"" else 0)
            return True
    return False


def root_name(file: BinaryIO) -> str | None:
    """Name of the outermost element of the XML in `file`; None if it is no XML.

    Raises UnreadableExport where the XML defines entities.
    """
    try:
        for _, element in _events(file, "start"):
            return local_name(element)
    except UnreadableExport:
        raise
    except _MALFORMED:
        pass
    return None


def _events(file: BinaryIO, *kinds: str) -> Iterator[tuple[str, Element]]:
    try:
        yield from iterparse(file, events=kinds)
    except DefusedXmlException:
        raise UnreadableExport(
            "The file defines XML entities, which Strapline refuses as unsafe; "
            "export the session again."
        ) from None


def local_name(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]


def text_of(element: Element, name: str) -> str | None:
    """The text of the first descendant called `name`, in whatever namespace."""
    found = element.find(f".//{{*}}{name}")
    return None if found is None or found.text is None else found.text.strip()
