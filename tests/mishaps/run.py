"""What becomes of a run that something happens to.

    python -m mishaps.run [--kills 50] [--seed 1] [--only killed ...]

run in `tests/`. Prints a table: what happened, and whether the results came out as without it,
byte for byte. Needs Linux; a full and a read-only disk also the right to mount.
"""

import argparse
import inspect
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from mishaps import scenarios

Outcome = tuple[str, str]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", nargs="*", choices=[s.__name__ for s in scenarios.ALL])
    options = parser.parse_args()
    bad = 0
    print("| what happened | what came of it |\n|---|---|", flush=True)
    for happened, outcome in _all(options):
        bad += outcome.startswith("NOT")
        print(f"| {happened} | {outcome} |", flush=True)
    return min(bad, 1)


def _all(options: argparse.Namespace) -> Iterator[Outcome]:
    with tempfile.TemporaryDirectory() as place:
        undisturbed = scenarios.undisturbed(Path(place, "undisturbed"))
        for scenario in scenarios.ALL:
            if options.only and scenario.__name__ not in options.only:
                continue
            folder = Path(place, scenario.__name__)
            folder.mkdir()
            yield from scenario(folder, undisturbed, **_wanted(scenario, options))


def _wanted(scenario: Callable[..., object], options: argparse.Namespace) -> dict[str, int]:
    names = inspect.signature(scenario).parameters
    return {name: getattr(options, name) for name in ("kills", "seed") if name in names}


if __name__ == "__main__":
    sys.exit(main())
