"""What an archive costs: to build, to leave alone, to add to, to recompute.

    cd tests && python -m benchmarks.archive 100 [1000 5000 …] [--cores 2] [--minutes 45]

For each number of sessions, one run on one machine: an archive of invented sessions (a strap and
two watches, one sample a second) is built and changed by the workflow, and the same steps are
called for some of its sessions in one warm process on one core, which is the least that they can
cost.
"""

import argparse
import tempfile
import time
from pathlib import Path
from statistics import mean

from benchmarks.archive_floor import floor
from benchmarks.archive_run import Cost, first_run, run, size
from benchmarks.archive_sessions import write_session
from strapline.reading.inbox.raw_files import LATELY_S

MOST_BY_CALLS = 20
# Times that a session is dropped in, for a few seconds are soon longer or shorter by a fifth.
DROPS = 3
# Edits of the settings, by what they stand for: read by `measure` alone; by what draws alone.
EDITS = {
    "one metric's rule changed": "intervals: {replicates: 990}",
    "a chart's colour changed": 'intervals: {replicates: 990}\npalette: {band: "#dddddd"}',
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sessions", type=int, nargs="+")
    parser.add_argument("--cores", type=int, default=2)
    parser.add_argument("--minutes", type=int, default=45)
    options = parser.parse_args()
    for sessions in options.sessions:
        with tempfile.TemporaryDirectory() as folder:
            report(Path(folder), sessions, options.cores, options.minutes)


def report(folder: Path, sessions: int, cores: int, minutes: int) -> None:
    inbox, settings = folder / "inbox", folder / "settings.yaml"
    for number in range(sessions):
        write_session(inbox / f"session-{number:05}", minutes)
    settings.write_text("{}\n")
    print(f"\n{sessions} sessions of {minutes} min, {cores} cores", flush=True)
    # Before and after, for a machine may be quicker at one time than at another.
    before = floor(inbox, MOST_BY_CALLS)
    cold = first_run(folder, cores, sessions)
    after = floor(inbox, MOST_BY_CALLS)
    say("cold build", cold, f"{sessions / cold.seconds * 60:.0f} sessions a minute")
    compare("what a session cost", cold.seconds * cores / sessions, (before, after))
    idle, dropped = [], []
    for number in range(DROPS):
        idle.append(run(folder, cores))
        write_session(inbox / f"session-new-{number}", minutes)
        # Typed at once, a run would wait a second to see whether the files are still copied.
        time.sleep(LATELY_S)
        dropped.append(run(folder, cores))
    nothing, one = middle(idle), middle(dropped)
    say("nothing to do", nothing, f"the middle one of {DROPS}")
    say("one session dropped in", one, f"the middle one of {DROPS}")
    more = one.seconds - nothing.seconds
    compare("the difference", more, (after, floor(inbox, MOST_BY_CALLS)))
    for name, content in EDITS.items():
        settings.write_text(content + "\n")
        say(name, run(folder, cores))
    count = sessions + DROPS
    for name in ("inbox", "results", ".snakemake"):
        print(f"  {name}: {size(folder / name) / count / 1024:.0f} KiB a session")


def middle(costs: list[Cost]) -> Cost:
    return sorted(costs, key=lambda cost: cost.seconds)[len(costs) // 2]


def compare(what: str, seconds: float, floors: tuple[float, float]) -> None:
    """Print it as a multiple of the least that a session can cost."""
    print(
        f"  - {what}: {seconds / mean(floors):.2f} times its steps in one warm process on one"
        f" core, {floors[0]:.2f} s before and {floors[1]:.2f} s after",
        flush=True,
    )


def say(name: str, cost: Cost, more: str = "") -> None:
    print(
        f"  {name:26} {cost.seconds:8.1f} s, {cost.steps} steps; most memory"
        f" {cost.parent_mib:.0f} MiB in Snakemake, {cost.worker_mib:.0f} MiB in a worker"
        + (f"; {more}" if more else ""),
        flush=True,
    )


if __name__ == "__main__":
    main()
