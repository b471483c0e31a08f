"""Where a command finds the tester's own: settings, register, inbox and results."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import pandas as pd

from strapline.ground.records.intake import read_intake
from strapline.ground.records.register import Register, load_register
from strapline.ground.settings import Settings, load_settings
from strapline.ground.tables.archive import COMPARISONS, FINDINGS, SESSIONS
from strapline.ground.tables.sessions import METRICS
from strapline.ground.tables.table import Table
from strapline.method.planning.outlook import Outlook, Recorded, outlook
from strapline.running.asked import known_activities, must_be_known


@dataclass(frozen=True)
class Bench:
    settings: Settings
    register: Register
    results: Path

    @property
    def labels(self) -> dict[str, str]:
        return {name: device.label for name, device in self.register.devices.items()}

    @cached_property
    def sessions(self) -> pd.DataFrame:
        """The archive's, under SESSIONS; none before the first run."""
        return _read(SESSIONS, self.results / "archive" / "sessions.parquet")

    @property
    def activities(self) -> list[str]:
        return known_activities(self.settings, self.sessions["activity"].map(str))

    @cached_property
    def recorded(self) -> Recorded:
        """What there is so far; nothing before the first run."""
        archive, sessions = self.results / "archive", self.sessions
        intakes = [self.results / "sessions" / str(s) / "intake.json" for s in sessions["session"]]
        return Recorded(
            [read_intake(path) for path in intakes if path.exists()],
            sessions,
            METRICS.read(sorted((archive / "metrics").glob("*.parquet"))),
            _read(FINDINGS, archive / "findings.parquet"),
            _read(COMPARISONS, archive / "comparisons.parquet"),
        )

    def outlook(self) -> Outlook:
        """The plan over what is recorded.

        Raises DocumentError where the settings plan a device or activity that nobody knows."""
        must_be_known(self.settings, self.register.tested, self.activities)
        kinds = self.register.kinds_tested
        return outlook(self.recorded, kinds, self.settings.plan, self.settings.claims)


def describe(parser: argparse.ArgumentParser) -> None:
    """The arguments of every command that needs the bench."""
    for name, default, metavar, told in (
        ("--settings", "config/settings.yaml", "FILE", "the settings you use"),
        ("--devices", "config/devices.yaml", "FILE", "your devices"),
        ("--results", "results", "FOLDER", "where the results are"),
    ):
        parser.add_argument(name, default=default, metavar=metavar, help=told)


def read(options: argparse.Namespace) -> Bench:
    """Raises DocumentError with a sentence for every mistake in settings or register."""
    register = load_register(options.devices)
    return Bench(load_settings(options.settings), register, Path(options.results))


def _read(table: Table, path: Path) -> pd.DataFrame:
    return table.read(path) if path.exists() else table.empty()
