"""What the pages about the archive, or about one device in it, draw on."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import pandas as pd

from strapline.method.claims.evidence import Evidence, Policy


@dataclass(frozen=True)
class Records:
    """The archive's SESSIONS, METRICS, STANDINGS, NOTICES, FAULTS and CONDITIONS, what its
    statistics say, and what each device is called."""

    sessions: pd.DataFrame
    metrics: pd.DataFrame
    standings: pd.DataFrame
    notices: pd.DataFrame
    faults: pd.DataFrame
    conditions: pd.DataFrame
    evidence: Evidence
    labels: Mapping[str, str]

    @property
    def policy(self) -> Policy:
        return self.evidence.policy

    @property
    def devices(self) -> list[str]:
        """Every device that was compared."""
        return sorted(set(self.standings["device"].astype(str)))

    def of_device(self, device: str) -> "Records":
        """What concerns one device alone."""
        own = self.metrics[self.metrics["device"] == device]
        took_part = set(own["session"].unique())
        return replace(
            self,
            sessions=self.sessions[self.sessions["session"].isin(took_part)],
            metrics=own,
            standings=self.standings[self.standings["device"] == device],
            evidence=self.evidence.of_device(device),
        )
