"""All that charts and pages about the archive, or about one device in it, draw on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import pandas as pd

from strapline.ground.tables.archive import (
    APPS,
    COMPARISONS,
    CONDITIONS,
    DEVICES,
    FAULTS,
    FINDINGS,
    FIRMWARE,
    NOTICES,
    PAIRED,
    PLACEMENTS,
    SESSIONS,
    STANDINGS,
    Labels,
    labels_of,
)
from strapline.ground.tables.sessions import COURSES, STATED, WHOLE_SESSIONS
from strapline.ground.vocabulary import Clocks, Scope
from strapline.ground.words import plain
from strapline.method.claims.evidence import Evidence, Policy
from strapline.telling.kept import read_from, rows_of

# Which device was worn where, by whom, with which firmware, and its error.
WORN = ["session", "device", "activity", "wearer", "started_at", "placement", "firmware", "mae"]


@dataclass(frozen=True)
class ArchiveTables:
    """The archive's tables, each under its contract, and without rows where nothing was compared;
    of WHOLE_SESSIONS the scope `whole`."""

    sessions: pd.DataFrame = rows_of(SESSIONS)
    whole_sessions: pd.DataFrame = rows_of(WHOLE_SESSIONS, scope=[Scope.WHOLE])
    standings: pd.DataFrame = rows_of(STANDINGS)
    apps: pd.DataFrame = rows_of(APPS)
    stated: pd.DataFrame = rows_of(STATED)
    findings: pd.DataFrame = rows_of(FINDINGS)
    comparisons: pd.DataFrame = rows_of(COMPARISONS)
    paired: pd.DataFrame = rows_of(PAIRED)
    firmware: pd.DataFrame = rows_of(FIRMWARE)
    faults: pd.DataFrame = rows_of(FAULTS)
    conditions: pd.DataFrame = rows_of(CONDITIONS)
    placements: pd.DataFrame = rows_of(PLACEMENTS)
    notices: pd.DataFrame = rows_of(NOTICES)
    devices: pd.DataFrame = rows_of(DEVICES)
    courses: pd.DataFrame = rows_of(COURSES)

    @classmethod
    def read(cls, files: Mapping[str, str], needed: Iterable[str]) -> ArchiveTables:
        """With the fields that are `needed`; see `read_from`."""
        return cls(**read_from(cls, files, needed))

    @cached_property
    def labels(self) -> Labels:
        """What each device is called."""
        return labels_of(self.devices)

    @cached_property
    def worn(self) -> pd.DataFrame:
        """WORN, a row a recording that was compared, in order of time; `mae` is its error over the
        whole session."""
        own = self.whole_sessions
        own = own[
            (own["metric"] == "mae")
            & (own["alignment"] == Clocks.SETTLED)
            & (own["scope"] == Scope.WHOLE)
            & own["value"].notna()
        ]
        keys = ["session", "recording"]
        errors = own[[*keys, "device", "activity", "value"]].rename(columns={"value": "mae"})
        where = self.placements[[*keys, "placement", "firmware"]]
        starts = self.sessions[["session", "wearer", "started_at"]]
        table = (
            errors.astype(dict.fromkeys([*keys, "device", "activity"], str))
            .merge(where.astype(dict.fromkeys([*keys, "placement"], str)), on=keys)
            .merge(starts.astype({"session": str, "wearer": str}), on="session")
        )
        return table.sort_values(["started_at", *keys])[WORN].reset_index(drop=True)

    @property
    def compared(self) -> list[str]:
        """Every device that was compared; of straps there may be findings too, on each other."""
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
        stated = archive.stated[archive.stated["device"] == self.device]
        held = {*own["session"].astype(str), *stated["session"].astype(str)}
        return replace(
            archive,
            sessions=archive.sessions[archive.sessions["session"].isin(held)],
            stated=stated,
            whole_sessions=own,
            standings=archive.standings[archive.standings["device"] == self.device],
        )

    def headed(self, title: str) -> str:
        """A picture's title after the device."""
        return f"{plain(self.label)}: {title[:1].lower()}{title[1:]}"
