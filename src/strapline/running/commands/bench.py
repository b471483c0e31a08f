"""Where a command finds the tester's own: settings, register, inbox and results."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import pandas as pd

from strapline.ground.documents import load
from strapline.ground.records.intake import read_intake
from strapline.ground.records.register import Register
from strapline.ground.settings import Settings
from strapline.ground.tables.archive import COMPARISONS, FINDINGS, SESSIONS
from strapline.ground.tables.sessions import METRICS
from strapline.ground.tables.table import Table
from strapline.keeping.receipts import Places
from strapline.method.planning.outlook import Outlook, Recorded, outlook
from strapline.reading.inbox.discovery import Inbox, read_inbox
from strapline.running.asked import known_activities, must_be_known
from strapline.running.own import Own, devices_beside, read_own

SETTINGS, DEVICES, RESULTS, INBOX = "settings", "devices", "results", "inbox"

# By what an option is called: what holds without it, what it takes, and its help.
PLACES = {
    SETTINGS: (Path("config", "settings.yaml"), "FILE", "your settings"),
    DEVICES: (
        Path("config", "devices.yaml"),
        "FILE",
        "your devices; usually devices.yaml beside the settings",
    ),
    RESULTS: (Path("results"), "FOLDER", "where the results are"),
    INBOX: (Path("inbox"), "FOLDER", "where the exports are"),
}


@dataclass(frozen=True)
class Bench:
    """What is read of it raises DocumentError with a sentence for every mistake."""

    settings_file: Path
    devices_file: Path
    results: Path
    inbox: Path

    @cached_property
    def settings(self) -> Settings:
        return load(self.settings_file, Settings)

    @cached_property
    def register(self) -> Register:
        return load(self.devices_file, Register)

    @property
    def own(self) -> Own:
        return read_own(self.places, self.settings_file, self.devices_file)

    @property
    def places(self) -> Places:
        return Places(self.results, self.inbox)

    def read_inbox(self) -> Inbox:
        return read_inbox(self.inbox, self.settings, self.results)

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


SESSION = "its name, such as 2026-03-05-run"


def describe(parser: argparse.ArgumentParser, *needed: str) -> None:
    """The options of a command that needs these of PLACES, all of them by default."""
    group = parser.add_argument_group("where things are")
    for name in needed or PLACES:
        _, metavar, told = PLACES[name]
        group.add_argument(f"--{name}", type=Path, metavar=metavar, help=told)


def read(options: argparse.Namespace) -> Bench:
    """The bench that the command's options say."""
    stated = {name: getattr(options, name, None) for name in PLACES}
    places: dict[str, Path] = {name: stated[name] or usual for name, (usual, *_) in PLACES.items()}
    if not stated[DEVICES]:
        places[DEVICES] = devices_beside(places[SETTINGS], places[DEVICES])
    return Bench(*(places[name] for name in (SETTINGS, DEVICES, RESULTS, INBOX)))


def _read(table: Table, path: Path) -> pd.DataFrame:
    return table.read(path) if path.exists() else table.empty()
