"""Copy from an archive, such as an app's whole history, the exports of your sessions.

Each goes beside the recording that it was made with. What goes on for much longer, such as days in
one file, goes into the folder of each session it covers, where the archive has nothing else of it.
Nothing is written over.
"""

import argparse
import datetime as dt
import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from strapline.ground.documents import DocumentError
from strapline.ground.files import write_bytes
from strapline.ground.slugs import numbered, slug
from strapline.ground.words import plain
from strapline.reading.formats import Member, UnreadableExport, read_export, read_members
from strapline.reading.formats.headings import Headings, shipped
from strapline.reading.formats.reader import FORMATS
from strapline.reading.inbox.loose import Ends, belong, covers, span_of
from strapline.reading.inbox.readable import first_of, sorted_out
from strapline.running.commands import bench

SHARES_NO_TIME = "share no time with a recording in the inbox"
HAS_BETTER = "cover sessions of which the archive holds a file of their own"
LOOSE = "cover hours around a file that lies loose in the inbox; put that into a folder first"
GIVES_NO_TIME = "give no time of day"
UNREADABLE = "are no exports, or cannot be read"
THERE = "are in the inbox already"
MOST_NAMED = 5
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
            f"{plain(str(inbox))} holds no recording with a time yet. Put the other exports of "
            "a session there first."
        )
    try:
        members, zone = read_members(options.file, words), own.settings.clock.time_zone
        said = list(_lay(members, places, inbox, zone))
    except UnreadableExport as reason:
        raise DocumentError(f"{plain(options.file)}: {reason}") from None
    _tell(said)
    return 0


def _tell(said: Sequence[tuple[str, list[Path] | str]]) -> None:
    laid = [paths for _, paths in said if isinstance(paths, list)]
    print(f"{len(laid)} of {len(said)} files share time with a recording and were put beside it.")
    for path in (path for paths in laid for path in paths):
        print(f"  {plain(str(path))}")
    for reason in sorted({why for _, why in said if isinstance(why, str)}):
        names = [plain(name) for name, why in said if why == reason]
        named = first_of(names, MOST_NAMED)
        print(f"Left in the archive: {len(names)} that {reason}: {named}.")


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


def _lay(
    members: Iterable[Member], places: Sequence[Place], inbox: Path, zone: str
) -> Iterator[tuple[str, list[Path] | str]]:
    """The name of each member, and where it was laid, or why it was left."""
    filled, longer = set[Path](), list[tuple[Member, list[Path]]]()
    for member in members:
        ends = span_of(member.export, zone).ends if member.export else None
        if ends is None:
            yield member.name, GIVES_NO_TIME if member.export else UNREADABLE
            continue
        place = next((place for place in places if belong(ends, place.ends)), None)
        covered = [place.folder for place in places if covers(ends, place.ends)]
        folders = [folder for folder in dict.fromkeys(covered) if folder != inbox]
        if place is not None:
            filled.add(place.folder)
            yield member.name, _put(member, [place.folder])
        elif folders:
            longer.append((member, folders))
        else:
            yield member.name, LOOSE if covered else SHARES_NO_TIME
    for member, folders in longer:
        free = [folder for folder in folders if folder not in filled]
        yield member.name, _put(member, free) if free else HAS_BETTER


def _put(member: Member, folders: Sequence[Path]) -> list[Path] | str:
    """Into each of the folders that does not hold it yet."""
    paths = []
    for folder in folders:
        if not any(_holds(path, member.content) for path in folder.iterdir()):
            paths.append(_free(folder, member.name))
            write_bytes(paths[-1], member.content)
    return paths or THERE


def _holds(path: Path, content: bytes) -> bool:
    is_alike = path.is_file() and path.stat().st_size == len(content)
    return is_alike and path.read_bytes() == content


def _free(folder: Path, name: str) -> Path:
    """A name in the folder that nothing has, made of the member's own."""
    ending = Path(name).suffix.casefold()
    ending = ending if ending in ENDINGS else ""
    names = (f"{stem}{ending}" for stem in numbered(slug(Path(name).stem)))
    return next(folder / one for one in names if not os.path.lexists(folder / one))
