"""What reads one format."""

from typing import BinaryIO, Protocol

from strapline.reading.formats.export import Export, Hints
from strapline.reading.formats.headings import Headings


class Reader(Protocol):
    """A module for one format. What it is given is unpacked; it may stand anywhere in it."""

    def recognises(self, file: BinaryIO, words: Headings, /) -> bool:
        """Whether the content is of this format."""

    def read(self, file: BinaryIO, words: Headings, hints: Hints, /) -> Export:
        """All that the content says. Raises UnreadableExport, with a sentence for the tester, for
        whatever cannot be used."""
