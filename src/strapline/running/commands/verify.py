"""Check a whole archive: raw files, tables, ledgers, methods and pages against one another."""

from __future__ import annotations

import argparse
from pathlib import Path

from strapline.ground import versions
from strapline.ground.documents import DocumentError
from strapline.ground.records.register import load_register
from strapline.ground.settings import load_settings
from strapline.ground.words import counted
from strapline.keeping.receipts import Places
from strapline.keeping.verification.archive import verify
from strapline.keeping.verification.problem import told
from strapline.running.run_lock import must_be_at_rest

REGISTER = Path("config", "devices.yaml")


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--results", type=Path, default=Path("results"), help="folder of the results"
    )
    parser.add_argument("--inbox", type=Path, default=Path("inbox"), help="folder of the exports")
    parser.add_argument(
        "--settings",
        type=Path,
        default=Path("config", "settings.yaml"),
        help="the settings that are to be in force",
    )
    parser.add_argument(
        "--devices",
        type=Path,
        help="the register of devices that is to be in force; devices.yaml beside the settings",
    )


def _beside(settings: Path) -> Path:
    """The register beside the settings, else where it usually is."""
    beside = settings.with_name(REGISTER.name)
    return beside if beside.exists() else REGISTER


def run(options: argparse.Namespace) -> int:
    """0 if all is as it was made, 1 with a list of what is not."""
    if not (options.results / "sessions").is_dir():
        raise DocumentError([f"{options.results} holds no sessions; type `snakemake` first."])
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
    looked_at = (
        f"{counted(sessions, 'session')}, {counted(outcome.files, 'file')} and "
        f"{counted(outcome.figures, 'figure')} checked"
    )
    if outcome.problems:
        print(f"{looked_at}: {counted(len(set(outcome.problems)), 'place')} not right.")
        return 1
    print(f"{looked_at}: all as they were made.")
    return 0
