"""Files in the inbox that are no exports, told by their first bytes: photos, films, documents.

They are never read whole, for there can be thousands of them, large ones.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from strapline.ground.words import in_figures
from strapline.reading.inbox.read_once import Entries, ReadOnce
from strapline.reading.inbox.readable import HERE, LeftAlone, first_of

# Enough for every signature.
HEAD_BYTES = 16

# After the formats' own specifications: ITU-T T.81, ISO/IEC 15948 (PNG), GIF89a, TIFF 6.0,
# ISO 32000 (PDF), RFC 8794 (EBML), RFC 3533 (Ogg), RFC 9639 (FLAC), id3.org (ID3v2).
BEGINNINGS = {
    b"\xff\xd8\xff": "JPEG picture",
    b"\x89PNG\r\n\x1a\n": "PNG picture",
    b"GIF87a": "GIF picture",
    b"GIF89a": "GIF picture",
    b"II*\0": "TIFF or raw picture",
    b"MM\0*": "TIFF or raw picture",
    b"%PDF-": "PDF document",
    b"\x1a\x45\xdf\xa3": "Matroska or WebM film",
    b"OggS": "Ogg recording",
    b"fLaC": "FLAC recording",
    b"ID3\x02": "MP3 recording",
    b"ID3\x03": "MP3 recording",
    b"ID3\x04": "MP3 recording",
}
# The form within a RIFF file, and the brands of pictures among ISO base media files (ISO/IEC
# 23008-12, AVIF 1.1), of which all others are films or recordings.
RIFF_FORMS = {b"WEBP": "WebP picture", b"AVI ": "AVI film", b"WAVE": "WAV recording"}
# What a screen may be read from.
SCREENSHOTS = {"JPEG picture", "PNG picture", "WebP picture"}
TO_READ = "If an app’s curve is in it, type `strapline picture FILE` to have it read."
PICTURE_BRANDS = {b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif"}


class Kinds(defaultdict[str, list[str]]):
    """Names of files by what they are, such as 'JPEG picture'."""

    def __init__(self) -> None:
        super().__init__(list)

    def include(self, others: Kinds) -> None:
        for kind, names in others.items():
            self[kind] += names


class Heads:
    """What the files in an inbox begin like; what was read is kept in the JSON file `kept`."""

    def __init__(self, inbox: Path, kept: Path) -> None:
        self._inbox = inbox
        self._kinds = ReadOnce(inbox, kept, Entries[str], _kind_of)
        self.keep = self._kinds.keep

    def exports_among(
        self, files: Iterable[Path], named: Collection[str] = ()
    ) -> tuple[list[Path], Kinds]:
        """The files that may be exports, and the names of all others within the inbox, by kind.
        Pictures may be where a card has `named` them."""
        exports, others = [], Kinds()
        for path in files:
            kind = self._kinds.of(path)
            if not kind or (kind in SCREENSHOTS and path.name in named):
                exports.append(path)
            else:
                others[kind].append(path.relative_to(self._inbox).as_posix())
        return exports, others


def kind_of_head(head: bytes) -> str | None:
    for beginning, kind in BEGINNINGS.items():
        if head.startswith(beginning):
            return kind
    if head.startswith(b"RIFF"):
        return RIFF_FORMS.get(head[8:12])
    # A box of less than 64 KiB: no text begins with zeros.
    if head.startswith(b"\0\0") and head[4:8] == b"ftyp":
        return "HEIC or AVIF picture" if head[8:12] in PICTURE_BRANDS else "MP4 or QuickTime film"
    return None


def told(
    without_exports: Sequence[str], by_kind: Mapping[str, Sequence[str]]
) -> Iterator[LeftAlone]:
    """A sentence for all folders that hold no export, and one for each kind of file."""
    if without_exports:
        one = len(without_exports) == 1
        folders = in_figures(len(without_exports), "folder")
        said = (
            f"{folders} {'holds' if one else 'hold'} nothing that could be an "
            f"export and {'is no session' if one else 'are no sessions'}: "
            f"{first_of(without_exports)}."
        )
        yield LeftAlone(said, said)
    for kind, names in sorted(by_kind.items()):
        said = "is no export and was" if len(names) == 1 else "are no exports and were"
        text = f"{in_figures(len(names), kind)} {said} not read{HERE}."
        if kind in SCREENSHOTS:
            text += f" {TO_READ}"
        yield LeftAlone.saying(text, f": {first_of(names)}", "")


def _kind_of(path: Path) -> str | None:
    """'' for what may be an export."""
    try:
        with path.open("rb", buffering=0) as file:
            return kind_of_head(file.read(HEAD_BYTES)) or ""
    except OSError:
        return None
