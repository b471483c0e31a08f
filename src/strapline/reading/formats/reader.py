"""What reads one format, and which formats there are."""

from dataclasses import dataclass
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


@dataclass(frozen=True)
class Format:
    """What README's table calls it, what a refusal calls it, and what its files end in."""

    row: str
    told: str
    endings: tuple[str, ...]


# By the module that reads it, in the order of README.
FORMATS = {
    "fit": Format("FIT", "FIT", (".fit",)),
    "tcx": Format("TCX", "TCX", (".tcx",)),
    "gpx": Format("GPX", "GPX", (".gpx",)),
    "csv_text": Format("CSV and other tables", "CSV with headings", (".csv",)),
    "json_text": Format("JSON", "JSON", (".json",)),
    "rr_text": Format("RR text", "one RR interval a line", (".txt",)),
    "picture": Format(
        "PNG, JPEG, WebP",
        "a PNG, JPEG or WebP picture of a curve",
        (".png", ".jpg", ".jpeg", ".webp"),
    ),
}

_TOLD = [each.told for each in FORMATS.values()]
NO_FORMAT = (
    f"The file is not in a format Strapline reads ({', '.join(_TOLD[:-1])}, or {_TOLD[-1]}); "
    "export the session again in one of them."
)
