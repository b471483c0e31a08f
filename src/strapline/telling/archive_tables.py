"""All that charts and pages about the archive, or about one device in it, draw on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import pandas as pd

from strapline.ground.tables.archive import (
    COMPARISONS,
    CONDITIONS,
    DEVICES,
    FAULTS,
    FINDINGS,
    FIRMWARE,
    NOTICES,
    PLACEMENTS,
    SESSIONS,
    STANDINGS,
    labels_of,
)
from strapline.ground.tables.sessions import WHOLE_SESSIONS
from strapline.ground.words import plain
from strapline.method.claims.evidence import Evidence, Policy
from strapline.telling.worn import worn_table


@dataclass(frozen=True)
class ArchiveTables:
    """The archive's tables, each under its contract; of WHOLE_SESSIONS the scope `whole`."""

    sessions: pd.DataFrame
    whole_sessions: pd.DataFrame
    standings: pd.DataFrame
    findings: pd.DataFrame
    comparisons: pd.DataFrame
    firmware: pd.DataFrame
    faults: pd.DataFrame
    conditions: pd.DataFrame
    placements: pd.DataFrame
    notices: pd.DataFrame
    devices: pd.DataFrame

    @classmethod
    def without_rows(cls) -> ArchiveTables:
        """Of an archive in which nothing was compared."""
        return cls(
            SESSIONS.empty(),
            WHOLE_SESSIONS.empty(),
            STANDINGS.empty(),
            FINDINGS.empty(),
            COMPARISONS.empty(),
            FIRMWARE.empty(),
            FAULTS.empty(),
            CONDITIONS.empty(),
            PLACEMENTS.empty(),
            NOTICES.empty(),
            DEVICES.empty(),
        )

    @cached_property
    def labels(self) -> dict[str, str]:
        """What each device is called."""
        return labels_of(self.devices)

    @cached_property
    def worn(self) -> pd.DataFrame:
        """Which device was worn where in each session, with its error; see `worn_table`."""
        return worn_table(self.placements, self.sessions, self.whole_sessions)

    @property
    def found(self) -> list[str]:
        """Every device with a finding."""
        return sorted(set(self.findings["device"].astype(str)))

    @property
    def compared(self) -> list[str]:
        """Every device that was compared."""
        return sorted(set(self.standings["device"].astype(str)))

    def headed(self, title: str) -> str:
        """A picture's title."""
        return title

    def evidence(self, policy: Policy) -> Evidence:
        """What its statistics say under a policy."""
        return Evidence(self.findings, self.comparisons, self.firmware, policy)


@dataclass(frozen=True)
class DeviceTables:
    """One device of an archive."""

    device: str
    archive: ArchiveTables

    @property
    def label(self) -> str:
        """What it is called."""
        return self.archive.labels.get(self.device, self.device)

    @cached_property
    def worn(self) -> pd.DataFrame:
        """The archive's `worn` of the device."""
        return self.archive.worn[self.archive.worn["device"] == self.device]

    @cached_property
    def own(self) -> ArchiveTables:
        """The archive with sessions, their figures and standings of this device alone."""
        archive = self.archive
        own = archive.whole_sessions[archive.whole_sessions["device"] == self.device]
        return replace(
            archive,
            sessions=archive.sessions[archive.sessions["session"].isin(set(own["session"]))],
            whole_sessions=own,
            standings=archive.standings[archive.standings["device"] == self.device],
        )

    def headed(self, title: str) -> str:
        """A picture's title after the device."""
        return f"{plain(self.label)}: {title[:1].lower()}{title[1:]}"
