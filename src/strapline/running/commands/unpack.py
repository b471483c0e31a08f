"""Copy from an archive, such as an app's whole history, the exports of your sessions.

Each goes beside the recording with which it shares time; nothing is written over.
"""

import argparse
import datetime as dt
import os
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from strapline.ground.documents import DocumentError
from strapline.ground.files import write_bytes
from strapline.ground.slugs import numbered, slug
from strapline.ground.words import plain
from strapline.reading.formats import Member, UnreadableExport, read_export, read_members
from strapline.reading.formats.headings import Headings, shipped
from strapline.reading.formats.reader import FORMATS
from strapline.reading.inbox.loose import Ends, belong, span_of
from strapline.reading.inbox.readable import sorted_out
from strapline.running.commands import bench

SHARES_NO_TIME = "share no time with a recording in the inbox"
GIVES_NO_TIME = "give no time of day"
UNREADABLE = "are no exports, or cannot be read"
THERE = "are in the inbox already"
ENDINGS = {ending for each in FORMATS.values() for ending in each.endings} | {".gz"}


@dataclass(frozen=True)
class Place:
    """Where recordings of a time lie: a session's folder, or the inbox itself."""

    folder: Path
    ends: Ends


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", help="a zip archive with at most 5,000 files")
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    inbox = own.inbox
    words = shipped().and_more(own.settings.headings.model_dump())
    places = list(_places(own, inbox, words))
    if not places:
        raise DocumentError(
            [
                f"{plain(str(inbox))} holds no recording with a time yet. Put the other exports of "
                "a session there first."
            ]
        )
    laid, left = [], Counter[str]()
    try:
        for member in read_members(options.file, words):
            said = _lay(member, places, own.settings.clock.time_zone)
            if isinstance(said, Path):
                laid.append(said)
            else:
                left[said] += 1
    except UnreadableExport as reason:
        raise DocumentError([f"{plain(options.file)}: {reason}"]) from None
    _tell(laid, left)
    return 0


def _tell(laid: list[Path], left: Counter[str]) -> None:
    of = sum(left.values()) + len(laid)
    print(f"{len(laid)} of {of} files share time with a recording and were put beside it.")
    for path in laid:
        print(f"  {plain(str(path))}")
    for reason, count in sorted(left.items()):
        print(f"Left in the archive: {count} that {reason}.")


def _places(own: bench.Bench, inbox: Path, words: Headings) -> Iterator[Place]:
    """The time of each session that has results, and of each file of those that have none."""
    entries = sorted_out(inbox)[0] if inbox.is_dir() else []
    folders = {entry.name: Path(entry.path) for entry in entries if entry.is_dir()}
    for title, first, minutes in own.sessions[["title", "started_at", "minutes"]].to_numpy():
        if title in folders and first == first:  # a missing time equals nothing
            last = first + dt.timedelta(minutes=float(minutes))
            yield Place(folders.pop(title), (first, last))
    for folder in [inbox, *folders.values()]:
        for entry in sorted_out(folder)[0] if folder.is_dir() else []:
            ends = _ends(Path(entry.path), words, own) if entry.is_file() else None
            if ends is not None:
                yield Place(folder, ends)


def _ends(path: Path, words: Headings, own: bench.Bench) -> Ends | None:
    try:
        return span_of(read_export(path, words), own.settings.clock.time_zone).ends
    except UnreadableExport:
        return None


def _lay(member: Member, places: list[Place], zone: str) -> Path | str:
    """Where the member was laid, or why it was left."""
    if member.export is None:
        return UNREADABLE
    ends = span_of(member.export, zone).ends
    if ends is None:
        return GIVES_NO_TIME
    place = next((place for place in places if belong(ends, place.ends)), None)
    if place is None:
        return SHARES_NO_TIME
    if any(_holds(path, member.content) for path in place.folder.iterdir()):
        return THERE
    path = _free(place.folder, member.name)
    write_bytes(path, member.content)
    return path


def _holds(path: Path, content: bytes) -> bool:
    is_alike = path.is_file() and path.stat().st_size == len(content)
    return is_alike and path.read_bytes() == content


def _free(folder: Path, name: str) -> Path:
    """A name in the folder that nothing has, made of the member's own."""
    ending = Path(name).suffix.casefold()
    ending = ending if ending in ENDINGS else ""
    names = (f"{stem}{ending}" for stem in numbered(slug(Path(name).stem)))
    return next(folder / one for one in names if not os.path.lexists(folder / one))
