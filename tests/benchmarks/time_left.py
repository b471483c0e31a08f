"""How well a run says how long it still takes: what it says after a minute, and later, beside what
it took. Of a run that is done, from Snakemake's log of it:

    python -m benchmarks.time_left .snakemake/log/<run>.snakemake.log
"""

import re
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from snakemake_logger_plugin_strapline import seconds_left

AT = re.compile(r"\[(\w{3} \w{3} +\d+ [\d:]+ \d{4})\]")
AFTER_S = (60, 120, 300, 600)


def times(log: Path) -> Iterator[tuple[float, bool]]:
    """When a job began, or ended."""
    at = 0.0
    for line in log.read_text("utf-8", "replace").splitlines():
        if found := AT.match(line):
            at = datetime.strptime(found[1], "%a %b %d %H:%M:%S %Y").timestamp()
        elif re.match(r"(local)?rule \w+:", line):
            yield at, False
        elif line.startswith("Finished jobid"):
            yield at, True


def main(log: Path) -> None:
    found = list(times(log))
    first, ends = found[0][0], [at for at, is_end in found if is_end]
    for after in AFTER_S:
        done = sum(at <= first + after for at in ends)
        took = ends[-1] - first - after
        if done and took > 0:
            said = seconds_left(done, len(ends), after)
            told = f"{said:.0f} s left said, {took:.0f} s taken: {said / took:.2f}"
            print(f"after {after} s, {done} of {len(ends)} steps: {told}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
