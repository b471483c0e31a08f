"""Walking through XML of any length with little memory, and without its dangers."""

import codecs
from collections.abc import Iterator
from typing import Any, BinaryIO
from xml.etree.ElementTree import Element, TreeBuilder
from xml.sax import SAXException
from xml.sax.handler import ContentHandler

from defusedxml.common import DefusedXmlException
from defusedxml.sax import make_parser

from strapline.reading.formats.export import TOO_LONG, UnreadableExport

# What the parser raises besides its own error comes from encodings it does not know.
_MALFORMED = (SAXException, LookupError, ValueError)

_HEAD = 4096
_DEEPEST = 100
_MOST_NAMES = 1000
_MOST_WITHIN_ONE = 10_000
_MOST_ELEMENTS = 4_000_000
_CHUNK = 64 * 1024
_LONGEST_ELEMENT = 2 * 1024**2
_MARKUP = (
    (codecs.BOM_UTF8, b"<"),
    (codecs.BOM_UTF16_LE, b"<\0"),
    (codecs.BOM_UTF16_BE, b"\0<"),
    (b"", b"<"),
)


_NO_TRACK = "The file's XML is too deep or too wide to be a track; export the session again."


class XmlStream:
    """Iterates over the elements wanted of the XML in `file`.

    Yields (name of the parent, element). An element in `openings` comes when it opens, with its
    attributes only; one in `wholes` when it closes, with all it contains. Names are without
    their namespace. Everything else is forgotten as it is read. After the iteration, `is_broken`
    tells whether the XML ended before its time.

    Raises UnreadableExport where the XML defines entities, which can be made to fill any memory
    or to fetch other files, or where it grows in other ways that no track does.
    """

    def __init__(self, file: BinaryIO, openings: set[str], wholes: set[str]) -> None:
        self._file = file
        self._openings = openings
        self._wholes = wholes
        self.is_broken = False

    def __iter__(self) -> Iterator[tuple[str, Element]]:
        path: list[tuple[str, Element]] = [("", Element(""))]
        names: set[str] = set()
        kept = within = count = 0
        for event, element in self._events():
            if event == "start":
                name = element.tag
                if name in self._openings:
                    yield path[-1][0], element
                path.append((name, element))
                names.add(element.tag)
                count += 1
                within = within + 1 if kept else 0
                kept += name in self._wholes
                if len(path) > _DEEPEST or len(names) > _MOST_NAMES or within > _MOST_WITHIN_ONE:
                    raise UnreadableExport(_NO_TRACK)
                if count > _MOST_ELEMENTS:
                    raise UnreadableExport(TOO_LONG)
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
            yield from _events(self._file)
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
        for _, element in _events(file):
            return element.tag
    except UnreadableExport:
        raise
    except _MALFORMED:
        pass
    return None


def _events(file: BinaryIO) -> Iterator[tuple[str, Element]]:
    """('start' or 'end', element) of every element, as far as the file goes; none of no markup.

    Without namespaces: some programs write prefixes that they never declare.
    """
    if not seek_markup(file):
        return
    built, unanswered = _Built(), 0
    parser = make_parser()
    parser.setContentHandler(built)
    try:
        while piece := file.read(_CHUNK):
            # The parser keeps an endless tag whole, and starts on it again with each piece.
            unanswered += len(piece)
            if unanswered > _LONGEST_ELEMENT:
                raise UnreadableExport(_NO_TRACK)
            try:
                parser.feed(piece)
            finally:
                events = built.taken()
                unanswered = 0 if events else unanswered
                yield from events
        parser.close()
    except DefusedXmlException:
        raise UnreadableExport(
            "The file defines XML entities, which Strapline refuses as unsafe; "
            "export the session again."
        ) from None


class _Built(ContentHandler):
    """Elements as they come, names without prefixes."""

    def __init__(self) -> None:
        super().__init__()
        self._tree = TreeBuilder()
        self._events: list[tuple[str, Element]] = []

    def taken(self) -> list[tuple[str, Element]]:
        events, self._events = self._events, []
        return events

    def startElement(self, name: str, attrs: Any) -> None:  # noqa: N802
        self._events.append(("start", self._tree.start(name.rpartition(":")[2], dict(attrs))))

    def characters(self, content: str) -> None:
        self._tree.data(content)

    def endElement(self, name: str) -> None:  # noqa: N802
        self._events.append(("end", self._tree.end(name.rpartition(":")[2])))


def text_of(element: Element, name: str) -> str | None:
    """The text of the first descendant called `name`, in whatever namespace."""
    found = element.find(f".//{name}")
    return None if found is None or found.text is None else found.text.strip()


def first_of(element: Element, *names: str) -> str | None:
    """The text of the first descendant that has one, by its name, names tried in their order."""
    return next((text for name in names if (text := text_of(element, name))), None)
