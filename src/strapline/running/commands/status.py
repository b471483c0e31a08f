"""Say again, in full, what the last runs said at their end."""

import argparse
from pathlib import Path

from strapline.ground.documents import DocumentError
from strapline.running.closing import status
from strapline.running.commands import bench
from strapline.running.told import told_before


def describe(parser: argparse.ArgumentParser) -> None:
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    results = Path(options.results)
    told = told_before(results)
    if told is None:
        raise DocumentError([f"No run has ended yet in {results}. Type `snakemake` first."])
    print(status(results, told))
    return 0
