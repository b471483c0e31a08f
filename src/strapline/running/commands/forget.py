"""Delete what was computed from a session that is no longer in the inbox."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path

from strapline.ground.documents import DocumentError
from strapline.ground.slugs import slug
from strapline.ground.tables.archive import SESSIONS
from strapline.ground.words import counted, listed, plain, things
from strapline.keeping.editions.history import Edition
from strapline.keeping.receipts import FOLDER, Places
from strapline.reading.inbox.names import Titled, named
from strapline.running.asked import among
from strapline.running.commands import bench
from strapline.running.commands.bench import Bench
from strapline.running.forgetting.history import editions_with, take_editions
from strapline.running.forgetting.made import sources_of, take_made
from strapline.running.forgetting.notes import take_caches, take_snakemakes
from strapline.running.forgetting.removal import Removal
from strapline.running.lines import wrapped
from strapline.running.run_lock import hold
from strapline.running.under_way import clear_half_done

MOST_LISTED = 8


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("session", help=bench.SESSION)
    parser.add_argument("--packages", action="store_true", help="delete its package too")
    parser.add_argument(
        "--from-editions",
        action="store_true",
        help="delete the editions that published it too, whole",
    )
    bench.describe(parser, bench.SETTINGS, bench.RESULTS, bench.INBOX)


def run(options: argparse.Namespace) -> int:
    """DocumentError where there is no such session, the inbox holds it, or a run is at work."""
    own = bench.read(options)
    places, session = own.places, options.session
    if not _is_left_elsewhere(places, session, options):
        among("session", session, _sessions(places.results))
    with hold(places.results):
        _refuse_if_held(own, session)
        for line in _forget(places, session, options):
            print(line)
    return 0


def _sessions(results: Path) -> list[str]:
    """Those of which there is anything."""
    folders = ("sessions", f"{FOLDER}/sessions", "publish/sessions")
    return sorted({path.name for folder in folders for path in (results / folder).glob("*")})


def _is_left_elsewhere(places: Places, session: str, options: argparse.Namespace) -> bool:
    """Whether a session that was forgotten before is in what is to go now."""
    package = places.results / "packages" / f"{slug(session)}.zip"
    return (options.packages and package.exists()) or (
        options.from_editions and any(editions_with(places, session))
    )


def _refuse_if_held(own: Bench, session: str) -> None:
    places = own.places
    if not places.inbox.is_dir():
        raise DocumentError(
            [f"There is no folder {places.inbox}, so it may still hold {session}. Nothing changed."]
        )
    inbox = own.read_inbox()
    # Also one that is not read, or waits for its name.
    folders = [Titled(path.name, path) for path in places.inbox.iterdir() if path.is_dir()]
    names, waiting = named(folders, places.results / "sessions")
    names = {each: name for each, name in names.items() if each.title not in inbox.no_sessions}
    held = [places.inbox / each.title for each, name in names.items() if name == session]
    held += [places.inbox / each.title for each in waiting if session == slug(each.title)]
    if not held and session in inbox.sessions:
        held = list(inbox.sessions[session].exports)
    if held:
        which = listed([plain(str(path)) for path in held[:MOST_LISTED]])
        raise DocumentError(
            [f"{session} is still in the inbox. Move {which} out of it first. Nothing changed."]
        )


def _forget(places: Places, session: str, options: argparse.Namespace) -> Iterator[str]:
    clear_half_done(places)
    counts = _still_counted(places.results, session)
    sources = sources_of(places, session)
    removal = Removal(places.results)
    left = take_made(places, session, removal)
    package = places.results / "packages" / f"{session}.zip"
    if options.packages:
        removal.take(package, "packages")
    editions, after = editions_with(places, session)
    touched = take_editions(places, editions, after, removal) if options.from_editions else []
    take_caches(places, session, sources, touched)
    notes = take_snakemakes(places, session)
    yield f"{session} is forgotten: {counted(removal.taken.total(), 'file')} deleted."
    for place, count in sorted(removal.taken.items()):
        yield f"  {places.results / place}: {count}"
    if notes:
        yield f"  .snakemake: {counted(notes, 'note')}"
    if left:
        yield "Not deleted, since no receipt says that Strapline wrote it:"
        yield from (f"  {plain(name)}" for name in left[:MOST_LISTED])
        if len(left) > MOST_LISTED:
            yield f"  … and {len(left) - MOST_LISTED} more"
    if package.exists():
        yield f"{package} stays. Add --packages to delete it too."
    yield from (line for said in _of_editions(editions, options) for line in wrapped(said, 0))
    if counts:
        yield "Now type `snakemake`: until then the report still shows it."
    elif touched:
        yield "Now type `snakemake`, which writes the page Changes again."


def _of_editions(editions: Sequence[Edition], options: argparse.Namespace) -> Iterator[str]:
    if not editions:
        return
    some = f"{things(len(editions), 'edition')} {_numbers(editions)}"
    if options.from_editions:
        yield (
            f"Deleted, with what was published there of other sessions: {some}. The report can no "
            "longer show what changed up to the next."
        )
    else:
        yield (
            f"What was published of it stays in {some}. To delete these whole: "
            f"strapline forget {options.session} --from-editions"
        )


def _numbers(editions: Sequence[Edition]) -> str:
    """'2 and 4 to 13': the editions by number, in order."""
    numbers = [each.number for each in editions]
    firsts = [n for n in numbers if n - 1 not in numbers]
    lasts = [n for n in numbers if n + 1 not in numbers]
    runs = zip(firsts, lasts, strict=True)
    return listed([f"{a}" if a == b else f"{a} to {b}" for a, b in runs])


def _still_counted(results: Path, session: str) -> bool:
    sessions = results / "archive" / "sessions.parquet"
    return sessions.exists() and session in set(SESSIONS.read(sessions)["session"].map(str))
