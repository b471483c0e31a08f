"""What may happen to a run, one function each: yields what happened and what came of it."""

import os
import random
import shutil
import signal
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from mishaps.bench import Bench, differences, kill, rows, without_history, workers

Outcomes = Iterator[tuple[str, str]]
Results = dict[str, str | None]
ROUND = 5
SAME = "the same results, byte for byte"
NO_MOUNT = "skipped: mounting is not allowed here"
FUTURE, PAST = 4_000_000_000, 1_000_000_000


def undisturbed(folder: Path) -> Results:
    bench = Bench(folder).fill()
    if bench.run() != 0:
        raise SystemExit(bench.text)
    return bench.contents()


def told(bench: Bench, wanted: Results, code: int = 0) -> str:
    """In words, whether the last run ended well and left what was wanted and nothing else."""
    if code != 0:
        return f"NOT recovered: {bench.text[-600:]}"
    other = differences(bench.contents(), wanted)
    if other or bench.left_over():
        return f"NOT the same: {other[:5]}, {bench.left_over()[:5]}"
    return SAME


def refused(bench: Bench, code: int, sentence: str) -> str:
    if code == 0 or sentence not in bench.text:
        return f"NOT told (exit code {code}): {bench.text[-600:]}"
    return f"told '{sentence}'"


def killed(folder: Path, wanted: Results, kills: int, seed: int) -> Outcomes:
    """Runs killed over and over, in rounds; each round ends with one that is let be."""
    chance = random.Random(seed)
    outcomes: list[str] = []
    done = {True: 0, False: 0}
    while sum(done.values()) < kills:
        bench = Bench(folder / f"round-{len(outcomes)}").fill()
        for _ in range(min(ROUND, kills - sum(done.values()))):
            whole_group = chance.random() < 0.5
            process = bench.start()
            now = min(bench.count(), len(wanted) - 1)
            bench.wait_for(chance.randint(now, len(wanted) - 1), process)
            time.sleep(chance.uniform(0, 0.5))
            kill(process, whole_group)
            done[whole_group] += 1
        outcomes.append(told(bench, wanted, bench.run()))
        if outcomes[-1] == SAME:
            shutil.rmtree(bench.folder)
    well = outcomes.count(SAME)
    what = f"killed {done[True]} times with all its workers, {done[False]} times alone"
    worst = next((outcome for outcome in outcomes if outcome != SAME), SAME)
    yield (f"{what}, then a bare `snakemake`", f"{worst} ({well} of {len(outcomes)} times)")


def two_at_once(folder: Path, wanted: Results) -> Outcomes:
    bench = Bench(folder).fill()
    first = bench.start()
    bench.wait_for(8, first)
    second = Bench(folder)
    second.said = folder / "said-2.txt"
    said = refused(second, second.run(), "Another run is at work in results (process")
    yield "a second run at the same time", said
    yield "the first of the two", told(bench, wanted, first.wait())


@contextmanager
def mounted(place: Path, size: str) -> Iterator[bool]:
    place.mkdir(parents=True)
    command = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", place]
    able = subprocess.run(command, capture_output=True, check=False).returncode == 0
    try:
        yield able
    finally:
        if able:
            subprocess.run(["umount", "--lazy", place], check=True)


def remount(place: Path, options: str) -> None:
    subprocess.run(["mount", "-o", f"remount,{options}", place], check=True)


def full_disk(folder: Path, wanted: Results) -> Outcomes:
    for what, part in (("the results' disk is full", "results"), ("the whole disk is full", "")):
        bench = Bench(folder / what.replace(" ", "-"))
        with mounted(bench.folder / part, "900k") as able:
            if not able:
                yield what, NO_MOUNT
                continue
            bench.fill()
            bench.said = folder / "said.txt"
            said = refused(bench, bench.run(), "disk is full")
            left = bench.left_over()
            yield what, f"NOT clean: {left}" if left else f"{said}, nothing half written"
            remount(bench.folder / part, "size=64m")
            yield "... and has space again", told(bench, wanted, bench.run())


def read_only(folder: Path, wanted: Results) -> Outcomes:
    what, bench = "the results' folder is read-only", Bench(folder)
    with mounted(bench.results, "64m") as able:
        if not able:
            yield what, NO_MOUNT
            return
        bench.fill()
        remount(bench.results, "ro")
        yield what, refused(bench, bench.run(), "The folder is read-only")
        remount(bench.results, "rw")
        yield "... and is writable again", told(bench, wanted, bench.run())


def clock_set_back(folder: Path, wanted: Results) -> Outcomes:
    bench = Bench(folder / "one").fill()
    for path in bench.inbox.rglob("*.*"):
        os.utime(path, (FUTURE, FUTURE))
    yield "all raw files are dated in the future", told(bench, wanted, bench.run())
    code = bench.run()
    yield (
        "... and `snakemake` again",
        told(bench, wanted, code) if "Nothing has changed" in bench.text else "NOT up to date",
    )
    for path in bench.results.rglob("*.*"):
        os.utime(path, (FUTURE, FUTURE))
    yield from _replaced(bench, "results are from the future, a raw file is new", FUTURE)
    yield from _replaced(bench, "a raw file is replaced by one of an older date", PAST)


def _replaced(bench: Bench, what: str, date: int) -> Outcomes:
    watch = bench.inbox / "run" / "watch.csv"
    watch.write_text(rows(2, 200 if date == FUTURE else 220))
    os.utime(watch, (date, date))
    fresh = bench.copy_of_inbox(bench.folder.parent / str(date))
    fresh.run()
    code = bench.run()
    other = differences(without_history(bench.contents()), without_history(fresh.contents()))
    yield what, f"NOT the same: {code} {other[:5]}" if code or other else SAME


def being_copied(folder: Path, wanted: Results) -> Outcomes:
    bench = Bench(folder).fill()
    strap = bench.inbox / "run" / "strap.csv"
    whole, there = strap.read_text(), threading.Event()
    strap.write_text("")

    def copy() -> None:
        for line in whole.splitlines(keepends=True):
            with strap.open("a") as file:
                file.write(line)
            there.wait(0.2)

    copying = threading.Thread(target=copy)
    copying.start()
    code = bench.run()
    said = "run: strap.csv is still being copied" in bench.text and code == 0
    counted = (bench.results / "report" / "sessions" / "run.html").exists()
    there.set()
    copying.join()
    yield (
        "a raw file is still being copied",
        "its session waits, which is said; the other is there"
        if said and not counted
        else f"NOT told: {bench.text[-600:]}",
    )
    code = bench.run()
    other = differences(without_history(bench.contents()), without_history(wanted))
    yield (
        "... and is there, but for the edition kept meanwhile",
        SAME if code == 0 and not other else f"NOT the same: {other[:5]}",
    )


def worker_killed(folder: Path, wanted: Results) -> Outcomes:
    bench = Bench(folder / "once").fill()
    process = bench.start()
    bench.wait_for(12, process)
    victims = workers(process)[:1]
    for victim in victims:
        os.kill(victim, signal.SIGKILL)
    outcome = told(bench, wanted, process.wait())
    yield "a worker is killed once", outcome if victims else "NOT tried: no worker was found"
    bench = Bench(folder / "again").fill()
    process = bench.start()
    bench.wait_for(12, process)
    until = time.monotonic() + 8
    while time.monotonic() < until and process.poll() is None:
        for victim in workers(process):
            os.kill(victim, signal.SIGKILL)
        time.sleep(0.05)
    yield "every worker is killed for 8 s", refused(bench, process.wait(), "died twice")
    yield "... and then no more", told(bench, wanted, bench.run())


def inbox_changed(folder: Path, wanted: Results) -> Outcomes:
    changes = {
        "a raw file is deleted": lambda b: (b.inbox / "run" / "watch.csv").unlink(),
        "a raw file is renamed": lambda b: (b.inbox / "run" / "watch.csv").rename(
            b.inbox / "run" / "other.csv"
        ),
        "a session is renamed": lambda b: (b.inbox / "run").rename(b.inbox / "walk"),
        "a session is deleted": lambda b: shutil.rmtree(b.inbox / "ride"),
        "all sessions are deleted": lambda b: [shutil.rmtree(p) for p in b.inbox.iterdir()],
    }
    built = Bench(folder / "built").fill()
    built.run()
    for number, (what, change) in enumerate(changes.items()):
        bench = built.copy(folder / str(number))
        change(bench)
        fresh = bench.copy_of_inbox(folder / f"{number}-fresh")
        fresh.run()
        code = bench.run("--config", "gone=yes")
        # What was computed of a session that is gone is kept, and not counted.
        held = {path.name for path in bench.results.glob("sessions/*")}
        gone = held - {path.name for path in fresh.results.glob("sessions/*")}
        pages = {
            f"report/sessions/{name}.{end}"
            for name in gone
            for end in ("html", "origin.html", "seconds.js", "figures.json")
        }
        now = bench.contents("archive", "report")
        other = differences(
            without_history({name: sha for name, sha in now.items() if name not in pages}),
            without_history(fresh.contents("archive", "report")),
        )
        unsaid = [name for name in gone if f"strapline forget {name}" not in bench.text]
        if code or other or unsaid:
            yield what, f"NOT followed: {other[:5]} {unsaid} {bench.text[-500:] if code else ''}"
        else:
            yield what, f"archive and report follow{', and it is said' if gone else ''}"


def other_machine(folder: Path, wanted: Results) -> Outcomes:
    one = Bench(folder / "one").fill()
    code = one.run("--cores", "1", TZ="Asia/Tokyo", LC_ALL="C")
    yield "one core, TZ=Asia/Tokyo LC_ALL=C", told(one, wanted, code)
    two = Bench(folder / "two").fill()
    code = two.run("--cores", "2", TZ="America/New_York", LC_ALL="C.UTF-8")
    yield "two cores, TZ=America/New_York LC_ALL=C.UTF-8", told(two, wanted, code)


ALL = (
    two_at_once,
    full_disk,
    read_only,
    clock_set_back,
    being_copied,
    worker_killed,
    inbox_changed,
    other_machine,
    killed,
)
