"""Whether a cold build got quicker: the program as it is beside an earlier commit of it.

    cd tests && python -m benchmarks.before <commit> [sessions]

Both build the same invented sessions, in turns, for a machine may be quicker at one time than at
another; printed are the seconds of each build, and how many times as long the earlier one took.
"""

import argparse
import subprocess
import tempfile
from pathlib import Path

from benchmarks.archive_run import REPOSITORY, run
from benchmarks.archive_sessions import write_session

TURNS = 2
CORES = 2
MINUTES = 45


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("commit")
    parser.add_argument("sessions", type=int, nargs="?", default=100)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        earlier = Path(folder, "earlier")
        worktree = ["git", "-C", str(REPOSITORY), "worktree"]
        subprocess.run([*worktree, "add", "--detach", earlier, options.commit], check=True)
        try:
            compare(Path(folder), options.sessions, {"earlier": earlier, "now": REPOSITORY})
        finally:
            subprocess.run([*worktree, "remove", "--force", earlier], check=True)


def compare(folder: Path, sessions: int, programs: dict[str, Path]) -> None:
    took = dict.fromkeys(programs, 0.0)
    for turn in range(TURNS):
        for name, code in programs.items():
            place = folder / f"{name}-{turn}"
            for number in range(sessions):
                write_session(place / "inbox" / f"session-{number:05}", MINUTES)
            (place / "settings.yaml").write_text("{}\n")
            seconds = run(place, CORES, code=code).seconds
            took[name] += seconds
            print(f"{name:<8} {seconds:7.1f} s for {sessions} sessions", flush=True)
    print(f"earlier took {took['earlier'] / took['now']:.2f} times as long")


if __name__ == "__main__":
    main()
