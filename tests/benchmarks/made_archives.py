"""Archives of many sessions with a known truth, from what each session comes to.

A bench is drawn often. Each draw is a device of its own, so that one call of the archive's
statistics goes over all draws.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtr

from strapline.ground.settings import Claims, Criteria, Equivalence, OverAll, Tolerance
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope
from strapline.method.agreement.findings import findings
from strapline.method.agreement.resampling import generator
from strapline.method.claims.evidence import Evidence, Policy

FAULT_BPM = -25.0
RATE_BPM = 130.0
WITHIN_BPM = 13.0
INDEPENDENT = 60
CRITERIA, MARGINS = Criteria(), Equivalence()
POLICY = Policy(Claims(), CRITERIA, MARGINS, Tolerance(), OverAll())


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

    def evidence(self, together: int) -> Evidence:
        """Each draw is a device of its own. What is judged as one family is of one view, so as many
        devices as go `together` have a view of their own."""
        draw, session = np.indices(self.figures["bias"].shape).reshape(2, -1)
        metrics = metrics_of(
            {name: values.ravel() for name, values in self.figures.items()},
            device=[f"d{each:05}" for each in draw],
            session=session,
            wearer=self.wearer[session],
            activity=self.done[session],
            view=draw // together,
        )
        return evidence_of(findings=findings(metrics, CRITERIA, MARGINS, OverAll()))


def metrics_of(
    figures: Mapping[str, np.ndarray],
    *,
    device: Sequence[str],
    session: np.ndarray,
    wearer: np.ndarray,
    view: np.ndarray,
    activity: np.ndarray | int = 0,
    scope: Sequence[str] | str = Scope.WHOLE,
) -> pd.DataFrame:
    """METRICS of half an hour each, and of as many stretches as let a session count; a figure of
    shape (rows,), and so are all others, numbers for names."""
    rows = pd.DataFrame(
        {
            "session": [f"s{place:03}" for place in session],
            "wearer": [f"w{place}" for place in wearer],
            "activity": [f"a{place}" for place in np.broadcast_to(activity, session.shape)],
            "device": device,
            "recording": device,
            "scope": scope,
            "alignment": [f"view {place}" for place in view],
            "unit": "bpm",
            "n": 1800,
            "ci_low": np.nan,
            "ci_high": np.nan,
        }
    )
    counted = rows.assign(metric="effective_n", value=float(INDEPENDENT), scope=Scope.WHOLE)
    named = [rows.assign(metric=name, value=values) for name, values in figures.items()]
    return METRICS.frame(pd.concat([*named, counted], ignore_index=True).to_dict("series"))


def evidence_of(**tables: pd.DataFrame) -> Evidence:
    names = ("findings", "comparisons", "firmware")
    return Evidence(*(tables.get(name, pd.DataFrame()) for name in names), POLICY)


def _share_within(level: np.ndarray, sd: np.ndarray) -> np.ndarray:
    share: np.ndarray = ndtr((WITHIN_BPM - level) / sd) - ndtr((-WITHIN_BPM - level) / sd)
    return share
