"""Write the inbox of the demo: `python -m strapline.demo <folder> [--processes N]`."""

import argparse
import os
from pathlib import Path

from strapline.demo.bench import Bench
from strapline.demo.write import write_bench
from strapline.ground.documents import load

BENCH = Path("config/demo/bench.yaml")


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m strapline.demo", description=__doc__)
    parser.add_argument("folder", type=Path, help="where to write; made if it is not there")
    parser.add_argument("--bench", type=Path, default=BENCH, help=f"default: {BENCH}")
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    options = parser.parse_args()
    write_bench(load(options.bench, Bench), options.folder, options.processes)


if __name__ == "__main__":
    main()
