"""Devices worn together, and firmware that comes in between, with a known truth."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

import numpy as np
import pandas as pd
from scipy.special import ndtr

from benchmarks.made_archives import evidence_of, metrics_of
from strapline.ground.settings import Criteria, OverAll
from strapline.ground.vocabulary import Scope
from strapline.method.agreement.resampling import generator
from strapline.method.claims.evidence import Evidence
from strapline.method.metrics.comparisons import comparisons
from strapline.method.metrics.firmware import firmware_changes

USUAL_BPM, FAILING_BPM = 6.0, 12.0
FAILED_WITHIN, USUAL_WITHIN = 50.0, 97.0


@dataclass(frozen=True)
class Together:
    """Devices worn in the same sessions, and their mean absolute errors in bpm.

    of_wearers: SD of what a device errs more on one wearer than on another; sessions add 1 bpm.
    failing: share of sessions in which the first device fails; better: by how much it is closer in
    all others.
    """

    sessions: int
    wearers: int = 1
    devices: int = 2
    of_wearers: float = 0.0
    failing: float = 0.0
    better: float = 0.0

    def drawn(self, draws: int, name: str) -> DrawnTogether:
        random = generator(name)
        wearer = np.arange(self.sessions) % self.wearers
        own = random.normal(0, self.of_wearers, (draws, self.wearers, self.devices))
        own[:, :, 0] -= self.better
        shape = draws, self.sessions, self.devices
        failed = np.zeros(shape, dtype=bool)
        failed[:, :, 0] = random.random(shape[:2]) < self.failing
        error = USUAL_BPM + own[:, wearer] + random.normal(size=shape) + FAILING_BPM * failed
        ahead = ndtr((own[:, :, 1] - own[:, :, 0]) / np.sqrt(2))
        return DrawnTogether(error, failed, wearer, (1 - self.failing) * ahead.mean(axis=1))


@dataclass(frozen=True)
class DrawnTogether:
    """error, failed: shape (draws, sessions, devices); first_closer: how likely the first device is
    closer than the second in a further session of the wearers of each draw."""

    error: np.ndarray
    failed: np.ndarray
    wearer: np.ndarray
    first_closer: np.ndarray

    def evidence(self, together: int) -> Evidence:
        devices = self.error.shape[2]
        keys = np.indices(self.error.shape).reshape(3, -1)
        within = np.where(self.failed, FAILED_WITHIN, USUAL_WITHIN)
        figures = [("within_either", Scope.WHOLE, keys, within.ravel())]
        for one, other in permutations(range(devices), 2):
            of_one = keys[:, keys[2] == one]
            scopes = [f"{Scope.BESIDE}{_device(draw, other)}" for draw in of_one[0]]
            figures.append(("mae", scopes, of_one, self.error[..., one].ravel()))
        parts = [
            metrics_of(
                {metric: values},
                device=[_device(draw, place) for draw, place in zip(at[0], at[2], strict=True)],
                session=at[1],
                wearer=self.wearer[at[1]],
                view=at[0],
                scope=scope,
            )
            for metric, scope, at, values in figures
        ]
        left = (keys[1] >> keys[2]) & 1
        worn = pd.DataFrame(
            {
                "session": [f"s{place:03}" for place in keys[1]],
                "device": [_device(draw, place) for draw, _, place in keys.T],
                "placement": np.where(left, "left_wrist", "right_wrist"),
            }
        )
        return evidence_of(
            comparisons=comparisons(
                pd.concat(parts, ignore_index=True), worn, Criteria(), OverAll()
            )
        )


def _device(draw: int, place: int) -> str:
    return f"d{draw:05}-{place}"


@dataclass(frozen=True)
class Updated:
    """A device whose firmware changes half-way and changes nothing; of_wearers: SD of what it errs
    more on one wearer than on another; sessions add 1 bpm."""

    sessions: int
    wearers: int
    of_wearers: float

    def drawn(self, draws: int, name: str) -> DrawnUpdates:
        random = generator(name)
        # The new firmware comes to wearers in another mix.
        wearer = np.arange(self.sessions) ** 2 // 3 % self.wearers
        own = random.normal(0, self.of_wearers, (draws, self.wearers))
        error = USUAL_BPM + own[:, wearer] + random.normal(size=(draws, self.sessions))
        return DrawnUpdates(error, wearer)


@dataclass(frozen=True)
class DrawnUpdates:
    """error: mean absolute errors, shape (draws, sessions)."""

    error: np.ndarray
    wearer: np.ndarray

    def evidence(self, together: int) -> Evidence:
        draw, session = np.indices(self.error.shape).reshape(2, -1)
        device = [_device(each, 0) for each in draw]
        metrics = metrics_of(
            {"mae": self.error.ravel(), "bias": self.error.ravel()},
            device=device,
            session=session,
            wearer=self.wearer[session],
            view=draw,
            scope=Scope.WHOLE,
        )
        worn = pd.DataFrame(
            {
                "session": [f"s{place:03}" for place in session],
                "device": device,
                "firmware": np.where(session < self.error.shape[1] // 2, "1", "2"),
                "started_at": pd.Timestamp("2026-01-01", tz="UTC") + pd.to_timedelta(session, "D"),
            }
        )
        return evidence_of(firmware=firmware_changes(metrics, worn, OverAll()))
