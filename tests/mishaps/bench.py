"""A small inbox of its own to run the workflow over, and what came of it."""

import ctypes
import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

from strapline.ground.files import sha256_of
from strapline.keeping.receipts import files_in

REPOSITORY = Path(__file__).resolve().parents[2]
# What only saves time, or says who is at work, is no result.
NO_RESULTS = {
    "code.json",
    "heads.json",
    "loose.json",
    "raw_files.json",
    "settled.json",
    "told.json",
    ".run",
    ".snakemake_timestamp",
}
# Of prctl(2), and of capabilities(7): to leave out permissions, as root may.
DROP, LEAVE_OUT_PERMISSIONS = 24, (1, 2)
CARD = """activity: {activity}
wearer: ada
recordings:
  - {{file: strap.csv, device: strap, role: reference, placement: chest}}
  - {{file: watch.csv, device: watch, placement: left_wrist}}
"""


def rows(shift: int, seconds: int = 240, session: str = "") -> str:
    """The last column is for no two sessions to be the same: those would count as one."""
    lines = [
        f"2026-03-01T10:{s // 60:02}:{s % 60:02}Z,{90 + s % 50 + s % 7 * shift},{session}"
        for s in range(seconds)
    ]
    return "\n".join(["time,heart_rate,session", *lines]) + "\n"


def bound_by_permissions() -> None:
    """Let what is started next be, if by root, bound by permissions like anyone else's."""
    if sys.platform == "linux":
        for right in LEAVE_OUT_PERMISSIONS:
            ctypes.CDLL(None).prctl(DROP, right, 0, 0, 0)


class Bench:
    """A folder with an inbox of two short sessions, in which `snakemake` is typed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.inbox, self.results = folder / "inbox", folder / "results"
        self.said = folder / "said.txt"

    def fill(self) -> "Bench":
        for number, name in enumerate(("run", "ride")):
            self.add_session(name, number + 1)
        return self

    def add_session(self, name: str, shift: int) -> None:
        place = self.inbox / name
        place.mkdir(parents=True)
        (place / "strap.csv").write_text(rows(0, session=name))
        (place / "watch.csv").write_text(rows(shift, session=name))
        (place / "session.yaml").write_text(CARD.format(activity=name))

    def copy(self, folder: Path) -> "Bench":
        """Another as it is now, with the times of files, as Snakemake goes by them."""
        shutil.copytree(self.folder, folder)
        return Bench(folder)

    def state(self) -> dict[str, tuple[int, int]]:
        """Size and time of all that is in the results; the lock says nothing, and what files begin
        like is noted whenever the inbox is looked at."""
        return {
            path.relative_to(self.results).as_posix(): (
                path.stat().st_size,
                path.stat().st_mtime_ns,
            )
            for path in files_in(self.results)
            if path.name not in (".run", "heads.json")
        }

    def copy_of_inbox(self, folder: Path) -> "Bench":
        """Another bench over the same inbox, not run yet."""
        shutil.copytree(self.inbox, folder / "inbox")
        return Bench(folder)

    def copy_of_all(self, folder: Path) -> "Bench":
        """Another bench with the same inbox, results and notes."""
        shutil.copytree(self.folder, folder, symlinks=True)
        return Bench(folder)

    def start(self, *arguments: str, **environment: str) -> subprocess.Popen[bytes]:
        """`snakemake` in a process group of its own."""
        command = [sys.executable, "-m", "snakemake", "--snakefile", REPOSITORY / "Snakefile"]
        if not (self.folder / "config").exists():
            shutil.copytree(REPOSITORY / "config", self.folder / "config")
        if "--cores" not in arguments:
            arguments += ("--cores", "2")
        with self.said.open("wb") as said:
            return subprocess.Popen(
                [*command, *arguments],
                cwd=self.folder,
                env=os.environ | environment,
                stdout=said,
                stderr=subprocess.STDOUT,
                start_new_session=True,
                preexec_fn=bound_by_permissions,
            )

    def run(self, *arguments: str, **environment: str) -> int:
        """The exit code; what was said is in `text`."""
        return self.start(*arguments, **environment).wait(timeout=900)

    @property
    def text(self) -> str:
        return self.said.read_text("utf-8", "replace")

    def count(self) -> int:
        return sum(len(names) for _, _, names in os.walk(self.results))

    def wait_for(self, files: int, process: subprocess.Popen[bytes]) -> None:
        """Until so many files are in the results, or the run is over."""
        while self.count() < files and process.poll() is None:
            time.sleep(0.02)

    def contents(self, *below: str) -> dict[str, str | None]:
        """The SHA-256 of every result, or of those in the folders `below`, by path."""
        return {
            path.relative_to(self.results).as_posix(): _fingerprint(path)
            for place in (below or ("",))
            for path in files_in(self.results / place)
            if path.name not in NO_RESULTS
        }

    def left_over(self) -> list[str]:
        return [path.name for path in self.results.rglob("*.unfinished")]


def _fingerprint(path: Path) -> str | None:
    """The SHA-256 of a file; an edition says when it was made, which is not compared."""
    if path.name != "edition.json":
        return sha256_of(path)
    stated = json.loads(path.read_bytes()) | {"made_at": None}
    return hashlib.sha256(json.dumps(stated, sort_keys=True).encode()).hexdigest()


def kill(process: subprocess.Popen[bytes], whole_group: bool) -> None:
    """SIGKILL, as by a power cut; without the group only the run itself, and its workers are to
    end by themselves."""
    if whole_group:
        os.killpg(process.pid, signal.SIGKILL)
    elif process.poll() is None:
        process.kill()
    process.wait()


def workers(process: subprocess.Popen[bytes]) -> list[int]:
    """The processes of the pool's workers: the children of the run's fork server."""
    found: dict[int, list[int]] = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        found.setdefault(int(fields[1]), []).append(int(stat.parent.name))
    return [worker for child in found.get(process.pid, []) for worker in found.get(child, [])]


def without_history(results: dict[str, str | None]) -> dict[str, str | None]:
    """Results that do not depend on what was in the inbox before."""
    return {
        name: sha
        for name, sha in results.items()
        if not name.startswith("editions/") and "changes" not in name and "receipts" not in name
    }


def differences(one: dict[str, str | None], other: dict[str, str | None]) -> list[str]:
    return sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))
