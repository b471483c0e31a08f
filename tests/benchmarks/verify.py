"""How long it takes to verify an archive.

    python tests/benchmarks/verify.py results/demo [sessions]

Makes an archive of many sessions by linking those of a finished one (of the demo, say) under
other names, so that reading does not wait for a disk; verifies it with as many processes as there
are cores, and prints both times.
"""

import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

from strapline.ground.documents import load
from strapline.ground.records.register import Register
from strapline.ground.settings import Settings
from strapline.keeping.receipts import FOLDER, Places
from strapline.keeping.verification.archive import verify

REPOSITORY = Path(__file__).resolve().parents[2]
SETTINGS = REPOSITORY / "config" / "demo" / "settings.yaml"


def link_session(source: Path, target: Path, session: str, name: str) -> None:
    """One session of `source`, with its pages, raw files and receipts, as `name` in `target`."""
    for part in ("sessions", "inbox"):
        shutil.copytree(source / part / session, target / part / name, copy_function=os.link)
    pages = Path("report", "sessions")
    for ending in (".html", ".origin.html", ".seconds.js", ".figures.json"):
        os.link(source / pages / f"{session}{ending}", target / pages / f"{name}{ending}")
    notes = source / FOLDER
    page_note = notes / pages / f"{session}.html.json"
    for note in [*(notes / "sessions" / session).rglob("*.json"), page_note]:
        moved = target / note.relative_to(source).as_posix().replace(session, name)
        moved.parent.mkdir(parents=True, exist_ok=True)
        moved.write_text(note.read_text("utf-8").replace(session, name), "utf-8")


def main(source: Path, sessions: int) -> None:
    known = sorted(path.name for path in (source / "sessions").iterdir())
    with tempfile.TemporaryDirectory(dir=source.resolve().parent) as temporary:
        target = Path(temporary)
        (target / "report" / "sessions").mkdir(parents=True)
        for number in range(sessions):
            session = known[number % len(known)]
            link_session(source, target, session, f"{session}-{number:04}")
        started, busy = time.perf_counter(), os.times()
        outcome, count = verify(
            Places(target, target / "inbox"), load(SETTINGS, Settings), Register()
        )
        elapsed, ended = time.perf_counter() - started, os.times()
        cpu = ended.user + ended.children_user - busy.user - busy.children_user
    print(
        f"{count} sessions, {outcome.files} files, {outcome.figures} figures, "
        f"{len(outcome.problems)} problems"
    )
    print(
        f"{elapsed:.1f} s on {os.cpu_count()} cores, {count / elapsed:.0f} sessions a second; "
        f"{cpu:.1f} s of processor time, {1000 * cpu / count:.0f} ms a session"
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1000)
