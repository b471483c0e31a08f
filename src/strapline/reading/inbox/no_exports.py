"""Files in the inbox that are no exports, told by their first bytes: photos, films, documents.

They are never read whole, for there can be thousands of them, large ones.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from pydantic import BaseModel, RootModel, ValidationError

from strapline.ground.files import write_model
from strapline.ground.words import in_figures
from strapline.reading.inbox.left_alone import HERE, LeftAlone, first_of

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
PICTURE_BRANDS = {b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif"}


class Kinds(defaultdict[str, list[str]]):
    """Names of files by what they are, such as 'JPEG picture'."""

    def __init__(self) -> None:
        super().__init__(list)

    def include(self, others: Kinds) -> None:
        for kind, names in others.items():
            self[kind] += names


class Head(BaseModel):
    """A file as it was when its first bytes were read; `kind` is None for what may be an export."""

    size: int
    changed_ns: int
    status_ns: int
    kind: str | None = None


class AllHeads(RootModel[dict[str, Head]]):
    """By path within the inbox."""


class Heads:
    """What the files in an inbox begin like; each is read once, until its size or times tell that
    it is another. What was read is kept in the JSON file `kept`."""

    def __init__(self, inbox: Path, kept: Path) -> None:
        self._inbox, self._kept = inbox, kept
        self._known = _known(kept)
        self._seen: dict[str, Head] = {}

    def exports_among(self, files: Iterable[Path]) -> tuple[list[Path], Kinds]:
        """The files that may be exports, and the names of all others within the inbox, by kind."""
        exports, others = [], Kinds()
        for path in files:
            kind = self._kind_of(path)
            if kind is None:
                exports.append(path)
            else:
                others[kind].append(path.relative_to(self._inbox).as_posix())
        return exports, others

    def _kind_of(self, path: Path) -> str | None:
        name = path.relative_to(self._inbox).as_posix()
        try:
            status = path.stat()
        except OSError:
            return None
        now = Head(size=status.st_size, changed_ns=status.st_mtime_ns, status_ns=status.st_ctime_ns)
        known = self._known.get(name)
        if known is None or now != known.model_copy(update={"kind": None}):
            known = now.model_copy(update={"kind": kind_of_head(_head(path))})
        self._seen[name] = known
        return known.kind

    def keep(self) -> None:
        """It only saves time: a full or read-only disk is told of where results are written."""
        if self._seen != self._known:
            with suppress(OSError):
                self._kept.parent.mkdir(parents=True, exist_ok=True)
                write_model(self._kept, AllHeads(self._seen))


def forget(kept: Path, sources: Collection[str]) -> None:
    """Drop what is kept of these files, by their paths within the inbox."""
    known = _known(kept)
    left = {name: head for name, head in known.items() if name not in sources}
    if left != known:
        write_model(kept, AllHeads(left))


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
        yield LeftAlone.saying(text, f": {first_of(names)}", "")


def _head(path: Path) -> bytes:
    try:
        with path.open("rb", buffering=0) as file:
            return file.read(HEAD_BYTES)
    except OSError:
        return b""


def _known(kept: Path) -> dict[str, Head]:
    try:
        return AllHeads.model_validate_json(kept.read_bytes()).root
    except (OSError, ValidationError):
        return {}
