"""Archives of many sessions with a known truth, from what each session comes to.

A bench is drawn often. Each draw is a device of its own, so that one call of the archive's
statistics goes over all draws.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtr

from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope
from strapline.method.agreement.resampling import generator

FAULT_BPM = -25.0
RATE_BPM = 130.0
WITHIN_BPM = 13.0
INDEPENDENT = 60


@dataclass(frozen=True)
class Bench:
    """What sessions of a device come to; spreads are SDs in bpm.

    wearers: how many; activities: sessions of each, dealt to the wearers in turn. uneven: SD of
    the logarithm of the spread within a session. failing: share of sessions that fail, for half
    their time by FAULT_BPM.
    """

    activities: tuple[int, ...]
    wearers: int = 1
    bias: float = 0.0
    of_wearers: float = 0.0
    of_sessions: float = 1.0
    within: float = 4.0
    uneven: float = 0.0
    failing: float = 0.0

    @property
    def mean(self) -> float:
        return self.bias + self.failing * FAULT_BPM / 2

    @property
    def limits(self) -> tuple[float, float]:
        """Of a further second of a further session of a further wearer."""
        of_bias = self.of_wearers**2 + self.of_sessions**2
        fault = FAULT_BPM**2 / 4
        within = self.within**2 * np.exp(2 * self.uneven**2) + self.failing * fault
        sd = np.sqrt(of_bias + within + self.failing * (1 - self.failing) * fault)
        return self.mean - 1.96 * float(sd), self.mean + 1.96 * float(sd)

    def drawn(self, draws: int, name: str) -> Drawn:
        random, sessions = generator(name), sum(self.activities)
        done = np.repeat(np.arange(len(self.activities)), self.activities)
        wearer = np.arange(sessions) % self.wearers
        shape = draws, sessions
        own = random.normal(0, self.of_wearers, (draws, self.wearers))
        spread = self.within * np.exp(self.uneven * random.normal(size=shape))
        true = self.bias + own[:, wearer] + random.normal(0, self.of_sessions, shape)
        level = true + spread * random.normal(size=shape) / np.sqrt(INDEPENDENT)
        variance = spread**2 * random.chisquare(INDEPENDENT - 1, shape) / INDEPENDENT
        share_well = _share_within(level, np.sqrt(variance))
        failed = random.random(shape) < self.failing
        level = level + failed * FAULT_BPM / 2
        variance = variance + failed * FAULT_BPM**2 / 4
        figures = {
            "bias": level,
            "sd_of_differences": np.sqrt(variance),
            "within_either": 100 * np.where(failed, share_well / 2, share_well),
        }
        return Drawn(figures, wearer, done, self.mean + own.mean(axis=1))


@dataclass(frozen=True)
class Drawn:
    """figures: arrays of shape (draws, sessions) by name; wearer, done: whose and what each
    session is; of_these: the true bias on the wearers of each draw."""

    figures: dict[str, np.ndarray]
    wearer: np.ndarray
    done: np.ndarray
    of_these: np.ndarray

    def metrics(self, together: int = 1) -> pd.DataFrame:
        """METRICS of all draws, each a device of its own. What is judged as one family is of one
        view, so as many devices as go `together` have a view of their own."""
        draws, sessions = self.figures["bias"].shape
        place = np.tile(np.arange(sessions), draws)
        device = np.repeat([f"d{draw:05}" for draw in range(draws)], sessions)
        same = {
            "session": [f"s{one:03}" for one in place],
            "wearer": [f"w{self.wearer[one]}" for one in place],
            "activity": [f"a{self.done[one]}" for one in place],
            "device": device,
            "recording": device,
            "scope": [str(Scope.WHOLE)] * place.size,
            "alignment": np.repeat([f"view {draw // together}" for draw in range(draws)], sessions),
            "unit": ["bpm"] * place.size,
            "n": np.full(place.size, 1800),
        }
        columns = {name: list(values) * len(self.figures) for name, values in same.items()}
        columns["metric"] = np.repeat(list(self.figures), place.size)
        columns["value"] = np.concatenate([each.ravel() for each in self.figures.values()])
        columns |= dict.fromkeys(("ci_low", "ci_high"), np.full(len(columns["value"]), np.nan))
        return METRICS.frame(columns)


def _share_within(level: np.ndarray, sd: np.ndarray) -> np.ndarray:
    share: np.ndarray = ndtr((WITHIN_BPM - level) / sd) - ndtr((-WITHIN_BPM - level) / sd)
    return share
