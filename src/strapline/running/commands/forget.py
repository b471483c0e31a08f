"""Delete what was computed from a session that is no longer in the inbox.

What cannot be computed again is deleted only where --packages or --from-editions say so. It is
listed first, and you are asked.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from strapline.ground.documents import DocumentError
from strapline.ground.slugs import slug
from strapline.ground.tables.archive import SESSIONS
from strapline.ground.words import counted, in_figures, listed, plain, things
from strapline.keeping.editions.without import Holding, holdings
from strapline.keeping.publications import published
from strapline.keeping.receipts import FOLDER, Places
from strapline.reading.inbox.names import Titled, named
from strapline.running.asked import among
from strapline.running.commands import bench, picture
from strapline.running.commands.bench import Bench
from strapline.running.forgetting.history import editions_of, take_from_editions
from strapline.running.forgetting.made import made_of, sources_of, take_made
from strapline.running.forgetting.notes import take_caches, take_snakemakes
from strapline.running.forgetting.removal import Removal
from strapline.running.lines import say, wrapped
from strapline.running.run_lock import hold
from strapline.running.under_way import clear_half_done

MOST_LISTED = 8


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("session", help=bench.SESSION)
    parser.add_argument("--packages", action="store_true", help="delete its package too")
    parser.add_argument(
        "--from-editions",
        action="store_true",
        help="take what was published of it out of the editions too",
    )
    parser.add_argument("--yes", action="store_true", help="do not ask")
    bench.describe(parser, bench.SETTINGS, bench.RESULTS, bench.INBOX)


def run(options: argparse.Namespace) -> int:
    """DocumentError where there is no such session, the inbox holds it, or a run is at work; and
    where the tester does not agree."""
    own = bench.read(options)
    places, session = own.places, options.session
    known = _sessions(places.results)
    if not places.results.is_dir() or not (options.packages or options.from_editions):
        among("session", session, known)
    with hold(places.results):
        for_good = _lasting(places, session)
        left = (options.packages and for_good.package) or (options.from_editions and for_good.held)
        if not left:
            among("session", session, known)
        _refuse_if_held(own, session)
        _must_be_agreed(list(_for_good(for_good, options)), options.yes)
        for line in _forget(places, session, for_good, options):
            print(line)
    return 0


@dataclass(frozen=True)
class Lasting:
    """What cannot be computed again: its `package`, if there is one, and what editions hold."""

    package: Path | None
    held: list[Holding]


def _sessions(results: Path) -> list[str]:
    """Those of which there is anything."""
    folders = ("sessions", f"{FOLDER}/sessions")
    made = {path.name for folder in folders for path in (results / folder).glob("*")}
    return sorted(made | {*published(Places(results, Path())).values()})


def _lasting(places: Places, session: str) -> Lasting:
    package = places.results / "packages" / f"{slug(session)}.zip"
    held = holdings(editions_of(places.results), session)
    return Lasting(package if package.exists() else None, held)


def _for_good(found: Lasting, options: argparse.Namespace) -> Iterator[str]:
    """What is to be deleted and cannot be computed again; nothing where nothing is."""
    if options.packages and found.package:
        yield f"{found.package}"
    if not options.from_editions:
        return
    own = [each for each in found.held if not each.is_whole]
    if own:
        most = max(each.rows for each in own)
        what = f"up to {most} of its figures and sentences in each" if most else "its name"
        which = ", corrections among them" if any(each.is_corrected for each in own) else ""
        yield f"out of {_named(own)}: {what}{which}"
    if whole := [each for each in found.held if each.is_whole]:
        other = "hold" if whole[1:] else "holds"
        yield f"{_named(whole)}, whole: {'they' if whole[1:] else 'it'} {other} no other session"


def _must_be_agreed(lines: Sequence[str], is_agreed: bool) -> None:
    """Raises DocumentError where the tester does not."""
    if not lines:
        return
    print("To be deleted for good, for it cannot be computed again:")
    say(lines, indent=2)
    print("Other sessions, their corrections and what was said over all sessions stay.")
    if is_agreed:
        return
    try:
        answer = input("Type yes to delete it: ")
    except EOFError:
        raise DocumentError("Nothing changed. Where nobody can be asked, add --yes.") from None
    if answer.strip().lower() != "yes":
        raise DocumentError("Nothing changed.")


def _refuse_if_held(own: Bench, session: str) -> None:
    places = own.places
    if not places.inbox.is_dir():
        raise DocumentError(
            f"There is no folder {places.inbox}, so it may still hold {session}. Nothing changed."
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
            f"{session} is still in the inbox. Move {which} out of it first. Nothing changed."
        )


def _forget(
    places: Places, session: str, lasting: Lasting, options: argparse.Namespace
) -> Iterator[str]:
    clear_half_done(places)
    counts = _still_counted(places.results, session)
    made = made_of(places, session)
    sources = sources_of(places, made)
    removal = Removal(places.results)
    left = take_made(places, made, removal)
    for source in sources:
        name = f"{Path(source).stem}{picture.ENDING}"
        removal.take(places.results / picture.FOLDER / name, picture.FOLDER)
    if options.packages and lasting.package:
        removal.take(lasting.package, "packages")
    held = lasting.held if options.from_editions else []
    touched = take_from_editions(places, held, session, removal) if held else []
    take_caches(places, made, sources, touched)
    notes = take_snakemakes(places, made)
    yield f"{session} is forgotten: {counted(removal.taken.total(), 'file')} deleted."
    for place, count in sorted(removal.taken.items()):
        yield f"  {places.results / place}: {count}"
    if notes:
        yield f"  .snakemake: {in_figures(notes, 'note')} that Snakemake kept of them"
    if left:
        yield "Not deleted, since no receipt says that Strapline wrote it:"
        yield from (f"  {plain(name)}" for name in left[:MOST_LISTED])
        if len(left) > MOST_LISTED:
            yield f"  … and {len(left) - MOST_LISTED} more"
    if lasting.package and lasting.package.exists():
        yield f"{lasting.package} stays. Add --packages to delete it too."
    yield from (line for said in _of_editions(lasting.held, options) for line in wrapped(said, 0))
    if counts:
        yield "Now type `snakemake`: until then the report still shows it."
    elif touched:
        yield "Now type `snakemake`, which writes the page Changes again."


def _of_editions(held: Sequence[Holding], options: argparse.Namespace) -> Iterator[str]:
    if held and options.from_editions:
        yield f"It is out of {_named(held)}. What these say of others stays."
    elif held:
        yield (
            f"What was published of it stays in {_named(held)}. To take it out: "
            f"strapline forget {options.session} --from-editions"
        )


def _named(held: Sequence[Holding]) -> str:
    """'editions 2 and 4 to 13': by number, in order."""
    numbers = [each.edition.number for each in held]
    firsts = [n for n in numbers if n - 1 not in numbers]
    lasts = [n for n in numbers if n + 1 not in numbers]
    runs = [
        [f"{a} to {b}"] if b > a + 1 else map(str, range(a, b + 1))
        for a, b in zip(firsts, lasts, strict=True)
    ]
    return f"{things(len(numbers), 'edition')} {listed([each for run in runs for each in run])}"


def _still_counted(results: Path, session: str) -> bool:
    sessions = results / "archive" / "sessions.parquet"
    return sessions.exists() and session in set(SESSIONS.read(sessions)["session"].map(str))
