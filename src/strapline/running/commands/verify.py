"""Check that nothing was changed since it was computed: exports, tables, figures and pages."""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path

from strapline.ground import versions
from strapline.ground.documents import DocumentError
from strapline.ground.records.register import load_register
from strapline.ground.settings import load_settings
from strapline.ground.words import counted, in_figures, listed
from strapline.keeping.receipts import Places
from strapline.keeping.verification.archive import verify
from strapline.keeping.verification.problem import told
from strapline.running.lines import wrapped
from strapline.running.run_lock import must_be_at_rest

REGISTER = Path("config", "devices.yaml")


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--results", type=Path, default=Path("results"), help="where the results are"
    )
    parser.add_argument("--inbox", type=Path, default=Path("inbox"), help="where the exports are")
    parser.add_argument(
        "--settings",
        type=Path,
        default=Path("config", "settings.yaml"),
        help="the settings you use",
    )
    parser.add_argument(
        "--devices",
        type=Path,
        help="your devices; by default devices.yaml beside the settings",
    )


def _beside(settings: Path) -> Path:
    """The register beside the settings, else where it usually is."""
    beside = settings.with_name(REGISTER.name)
    return beside if beside.exists() else REGISTER


def _earlier(files: Counter[str]) -> str:
    """On what an earlier version made, by stage."""
    return (
        "Made by an earlier version of Strapline or of a library, and not changed since: "
        f"{in_figures(files.total(), 'file')} of {listed(sorted(files))}. `snakemake -n` says what "
        "is computed again."
    )


def run(options: argparse.Namespace) -> int:
    """0 if all is as it was made, 1 with a list of what is not."""
    if not (options.results / "sessions").is_dir():
        raise DocumentError([f"{options.results} holds no sessions yet. Type `snakemake` first."])
    must_be_at_rest(options.results)
    places = Places(options.results, options.inbox)
    settings = load_settings(options.settings)
    register = load_register(options.devices or _beside(options.settings))
    outcome, sessions = verify(places, settings, register)
    for line in told(outcome.problems):
        print(line)
    made_with = versions.mixed({name: number} for name, number in outcome.versions)
    if any(len(numbers) > 1 for numbers in made_with.values()):
        print(" ".join(versions.told(made_with)))
    for line in wrapped(_earlier(outcome.earlier), 0) if outcome.earlier else ():
        print(line)
    looked_at = (
        f"{counted(sessions, 'session')}, {counted(outcome.files, 'file')} and "
        f"{counted(outcome.figures, 'figure')} checked"
    )
    if outcome.problems:
        print(f"{looked_at}: {counted(len(set(outcome.problems)), 'problem')}.")
        return 1
    print(f"{looked_at}: nothing was changed.")
    return 0
