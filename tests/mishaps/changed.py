"""Derived files that someone changed: whether one run makes each what it was, loses nothing of what
was put in its place, and says so.

    python -m mishaps.changed [--sessions 24] [--rounds 12] [--seed 1]

run in `tests/`. In each round every session is changed in a way of its own, and so are some of the
files that all share; every other round also lacks Snakemake's own notes. The ways are dealt out
anew in every round, single files first, then pairs; prints how many were tried and failed.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import shutil
import stat
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from itertools import product
from pathlib import Path
from typing import NamedTuple

from mishaps.bench import REPOSITORY, Bench, differences
from strapline.ground.files import sha256_of
from strapline.keeping.receipts import read_receipt
from strapline.running.commands import main as strapline

OUTSIDE = "outside"
MINE = "a file of the tester's own"
NOT_COMPARED = re.compile("set-aside/")


class Change(NamedTuple):
    """What is done to a file or folder; `path` within the results."""

    path: str
    how: str


def edited(path: Path, _: Path) -> None:
    """One byte is another; the size is as before."""
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)


def truncated(path: Path, _: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def emptied(path: Path, _: Path) -> None:
    path.write_bytes(b"")


def deleted(path: Path, _: Path) -> None:
    shutil.rmtree(path) if path.is_dir() else path.unlink()


def swapped(path: Path, other: Path) -> None:
    between = path.with_name(".between")
    path.rename(between)
    other.rename(path)
    between.rename(other)


def made_a_folder(path: Path, _: Path) -> None:
    path.unlink()
    path.mkdir()
    (path / "mine.txt").write_text(MINE)


def made_a_file(path: Path, _: Path) -> None:
    shutil.rmtree(path)
    path.write_text(MINE)


def made_a_link(path: Path, _: Path) -> None:
    """To what it was, which is now elsewhere; there it must stay."""
    results = _results_of(path)
    elsewhere = results.parent / OUTSIDE / path.relative_to(results)
    elsewhere.parent.mkdir(parents=True, exist_ok=True)
    shutil.move(path, elsewhere)
    path.symlink_to(elsewhere)


def made_a_link_to_nothing(path: Path, _: Path) -> None:
    deleted(path, path)
    path.symlink_to(_results_of(path).parent / "nothing")


def closed(path: Path, _: Path) -> None:
    """Nobody may read it, but for those who may read everything."""
    path.chmod(0)


def joined_by_another(path: Path, _: Path) -> None:
    """Only noticed where the folder is made anew, as it is for the file that is gone."""
    (path / "mine").mkdir()
    (path / "mine" / "export.csv").write_text(MINE)
    next(file for file in sorted(path.iterdir()) if file.suffix == ".json").unlink()


TO_FILES = (
    edited,
    truncated,
    emptied,
    deleted,
    swapped,
    made_a_folder,
    made_a_link,
    made_a_link_to_nothing,
    closed,
)
TO_FOLDERS = (deleted, made_a_file, made_a_link, made_a_link_to_nothing, joined_by_another)
WAYS = {way.__name__: way for way in (*TO_FILES, *TO_FOLDERS)}


class Tried(NamedTuple):
    changes: int
    faults: list[str]


def built(folder: Path, sessions: int) -> Bench:
    bench = Bench(folder)
    for number in range(sessions):
        bench.add_session(f"s{number:02}", number % 7 + 1)
    if bench.run():
        raise SystemExit(bench.text)
    return bench


def ways_of_a_session(bench: Bench) -> list[Change]:
    """Each way to change a file of one session, which is called '{session}' in it, and some to
    change its folders and receipts."""
    found = [
        Change(path.replace("s00", "{session}"), how)
        for path, how in _ways(bench)
        if path.startswith(("sessions/s00/", "report/sessions/s00."))
    ]
    whole = product(("sessions/{session}", "sessions/{session}/raw"), TO_FOLDERS[:4])
    found += [Change(path, way.__name__) for path, way in whole]
    notes = ("receipts/sessions/{session}", "receipts/report/sessions/{session}.html.json")
    return [*found, *(Change(path, "deleted") for path in notes)]


def ways_of_all(bench: Bench) -> list[Change]:
    """Each way to change a file that all sessions share."""
    return [
        change
        for change in _ways(bench)
        if not change.path.startswith(("sessions/", "report/sessions/"))
    ]


def _ways(bench: Bench) -> Iterator[Change]:
    """By what receipts say: in a folder, of one file."""
    for note in sorted((bench.results / "receipts").rglob("*.json")):
        receipt = read_receipt(note)
        assert receipt is not None
        first = note.relative_to(bench.results / "receipts").as_posix().removesuffix(".json")
        folders = {first} if (bench.results / first).is_dir() else set()
        files = [name.removeprefix("results/") for name in receipt.outputs]
        if receipt.stage == "archive_chart":
            folders = {"archive/charts", "archive/devices"}
        for path, way in product(sorted(folders), TO_FOLDERS):
            if way is not joined_by_another or next((bench.results / path).glob("*.vl.json"), None):
                yield Change(path, way.__name__)
        single = [f for f in files if not any(f.startswith(f"{folder}/") for folder in folders)]
        inside = [f for f in files if f not in single]
        for path, way in product([*single, *inside[:2]], TO_FILES):
            yield Change(path, way.__name__)


def tried(built: Bench, folder: Path, changes: Iterable[Change], notes: bool) -> Tried:
    """What went wrong when all of `changes` were made to a copy of the results; with or without
    Snakemake's `notes`."""
    wanted = _compared(built)
    bench = built.copy_of_all(folder)
    lost: dict[str, str | None] = {}
    done = 0
    for change in changes:
        path = bench.results / change.path
        other = _another(path, change.path)
        involved = [path, other] if change.how == "swapped" else [path]
        if not all(map(_is_there, involved)) or not _suits(path, WAYS[change.how]):
            continue
        # What was done to it before is undone by the tester, not by the run.
        for name in (name for each in involved for name in _contents(each)):
            lost.pop(name, None)
        WAYS[change.how](path, other)
        done += 1
        for each in involved:
            lost |= _contents(each)
    if not notes:
        shutil.rmtree(folder / ".snakemake")
    before = _contents(folder / OUTSIDE)
    faults = []
    if bench.run() != 0:
        faults.append(f"the run failed: {bench.text[-1500:]}")
    faults += [f"not as before: {name}" for name in differences(_compared(bench), wanted)]
    faults += [
        f"still a link: {p}"
        for p in bench.results.rglob("*")
        if p.is_symlink() and "set-aside" not in p.parts
    ]
    kept = set(_contents(bench.results / "set-aside").values())
    unchanged = set(wanted.values())
    faults += [f"lost: {n}" for n, sha in lost.items() if sha not in kept | unchanged]
    if _contents(folder / OUTSIDE) != before:
        faults.append("changed through a link")
    if kept and "moved aside under results/set-aside" not in bench.text:
        faults.append("not told")
    if _verify(bench) != 0:
        faults.append("strapline verify finds fault")
    return Tried(done, faults)


def _another(path: Path, name: str) -> Path:
    """The same file of another session, or another of the same kind."""
    results = _results_of(path)
    if found := re.match(r"(sessions/|report/sessions/)(s\d\d)(.*)", name):
        return results / f"{found[1]}s00{found[3]}"
    beside = (p for p in sorted(path.parent.glob(f"*{path.suffix}")) if p != path)
    return next(beside, results / "sessions" / "s00" / "intake.json")


def _results_of(path: Path) -> Path:
    return next(folder for folder in path.parents if folder.name == "results")


def _is_there(path: Path) -> bool:
    return path.exists() and not any(p.is_symlink() for p in (path, *path.parents))


def _suits(path: Path, way: Callable[[Path, Path], None]) -> bool:
    if path.is_dir():
        return way in TO_FOLDERS
    can_be_read = path.stat().st_mode & stat.S_IRUSR and path.stat().st_size > 0
    return way in TO_FILES and (way is deleted or bool(can_be_read))


def _contents(place: Path) -> dict[str, str | None]:
    """The SHA-256 of the file, or of all files in the folder; none of what a link leads to."""
    if place.is_symlink():
        return {}
    found = [Path(f, n) for f, _, names in os.walk(place) for n in names]
    files = [place] if place.is_file() else found
    return {str(f): sha256_of(f) for f in files if not f.name.startswith(".snakemake")}


def _compared(bench: Bench) -> dict[str, str | None]:
    return {n: sha for n, sha in bench.contents().items() if not NOT_COMPARED.match(n)}


def _verify(bench: Bench) -> int:
    where = ["--results", f"{bench.results}", "--inbox", f"{bench.inbox}"]
    return strapline(["verify", *where, "--settings", f"{REPOSITORY / 'config/settings.yaml'}"])


def dealt(built: Bench, sessions: int, rounds: int, seed: int) -> Iterator[list[Change]]:
    """For each round, what is changed: each session by one change or a pair, none in 's00', which
    lends its files to others; and one or two files that all share."""
    chance = random.Random(seed)
    own, shared = ways_of_a_session(built), ways_of_all(built)
    chance.shuffle(own)
    chance.shuffle(shared)
    single = iter(own)
    common = iter(shared)
    for number in range(rounds):
        changes = []
        for session in range(1, sessions):
            change = next(single, None)
            chosen = [change] if change else chance.sample(own, 2)
            changes += [Change(p.replace("{session}", f"s{session:02}"), h) for p, h in chosen]
        for _ in range(1 + number % 2):
            change = next(common, None)
            changes += [change] if change else chance.sample(shared, 2)
        yield changes


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sessions", type=int, default=24)
    parser.add_argument("--rounds", type=int, default=12)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    changes, failed = 0, 0
    with tempfile.TemporaryDirectory() as place:
        bench = built(Path(place, "built"), options.sessions)
        dealing = dealt(bench, options.sessions, options.rounds, options.seed)
        for number, chosen in enumerate(dealing):
            folder = Path(place, f"round-{number}")
            outcome = tried(bench, folder, chosen, notes=number % 2 == 0)
            changes += outcome.changes
            failed += len(outcome.faults)
            print(f"round {number}: {outcome.changes} changes, {outcome.faults or 'all mended'}")
            sys.stdout.flush()
            shutil.rmtree(folder)
    print(f"{changes} changes, {failed} faults")
    return min(failed, 1)


if __name__ == "__main__":
    sys.exit(main())
