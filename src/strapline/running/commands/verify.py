"""Check that nothing was changed since it was computed: exports, tables, figures and pages."""

from __future__ import annotations

import argparse
from collections import Counter

from strapline.ground import versions
from strapline.ground.documents import DocumentError
from strapline.ground.words import counted, in_figures, listed
from strapline.keeping.verification.archive import verify
from strapline.keeping.verification.problem import told
from strapline.running.commands import bench
from strapline.running.lines import say
from strapline.running.run_lock import must_be_at_rest


def describe(parser: argparse.ArgumentParser) -> None:
    bench.describe(parser)


def _earlier(files: Counter[str]) -> str:
    """On what an earlier version made, by stage."""
    return (
        "Made by an earlier version of Strapline or of a library, and not changed since: "
        f"{in_figures(files.total(), 'file')} of {listed(sorted(files))}. `snakemake -n` says what "
        "will be computed again."
    )


def run(options: argparse.Namespace) -> int:
    """0 if all is as it was made, 1 with a list of what is not."""
    own = bench.read(options)
    if not (own.results / "sessions").is_dir():
        raise DocumentError(f"{own.results} holds no sessions yet. Type `snakemake` first.")
    must_be_at_rest(own.results)
    outcome, sessions = verify(own.places, own.settings, own.register)
    for line in told(outcome.problems):
        print(line)
    made_with = versions.mixed({name: number} for name, number in outcome.versions)
    if any(len(numbers) > 1 for numbers in made_with.values()):
        print(" ".join(versions.told(made_with)))
    say([_earlier(outcome.earlier)] if outcome.earlier else [])
    looked_at = (
        f"{in_figures(sessions, 'session')}, {in_figures(outcome.files, 'file')} and "
        f"{in_figures(outcome.figures, 'figure')} checked"
    )
    if outcome.problems:
        print(f"{looked_at}: {counted(len(set(outcome.problems)), 'problem')}.")
        return 1
    print(f"{looked_at}: nothing was changed.")
    return 0
