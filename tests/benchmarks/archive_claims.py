"""How often intervals over sessions hold the truth, and claims are false.

    python -m benchmarks.archive_claims [draws] [draws for false claims] [part of a name]

Run in `tests/`. Every scenario is fixed, and its random numbers depend on what it is alone. What
is printed, as comma-separated values, is what the Method page shows: put it into
`src/strapline/telling/report/performance.csv`. It takes some twenty minutes of one core.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from scipy.special import ndtri

from benchmarks.made_archives import MARGINS, Bench, Drawn
from benchmarks.made_pairs import DrawnTogether, DrawnUpdates, Together, Updated
from benchmarks.made_sessions import SENSORS, Sensor
from benchmarks.performance_table import Row, write
from strapline.ground.settings import Intervals, Tolerance
from strapline.ground.vocabulary import ALL_ACTIVITIES, Verdict
from strapline.method.agreement.resampling import generator
from strapline.method.claims.claim import Claim
from strapline.method.claims.evidence import Evidence
from strapline.method.metrics import registry
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled

COVERS, FALSE = "interval holds the truth", "claim is false"
FAMILY = 4
# Sensors that are also looked at in sessions of 90 min.
LONG_TOO = ("good, correlation .98", "low 120 s in 600")
DRAWS = {COVERS: 500, FALSE: 2000}


@dataclass(frozen=True)
class Result:
    """shown: in what share of the draws there was something to judge, and found: of these, how
    often what `question` asks was so. wanted: found may be no less for an interval, no more for a
    false claim."""

    question: str
    scenario: str
    wanted: float
    found: float
    shown: float
    draws: int

    @property
    def holds(self) -> bool:
        """Whether what was found could be had where what is wanted is true (one-sided, 95 %)."""
        share = self.wanted
        slack = 1.645 * math.sqrt(share * (1 - share) / max(self.shown * self.draws, 1))
        if self.question == FALSE:
            return self.found <= share + slack
        return self.found >= share - slack


AnyBench = Bench | Together | Updated
# Of a bench, what was drawn, and what the archive says of it: an answer a draw.
Judge = Callable[[Any, Any, Evidence], np.ndarray]


def covers(statistic: str, truth: Callable[[Bench, Drawn], np.ndarray | float]) -> Judge:
    """1 where the interval of the statistic holds it, 0 where not, NaN where there is none."""

    def judged(bench: Bench, drawn: Drawn, told: Evidence) -> np.ndarray:
        found = told.findings
        rows = found[(found["activity"] == "a0") & (found["statistic"] == statistic)]
        low, high = rows["low"].to_numpy(float), rows["high"].to_numpy(float)
        true = truth(bench, drawn)
        return np.where(np.isnan(low), np.nan, (low <= true) & (true <= high))

    return judged


def claimed(statistic: str, of_people: bool) -> Judge:
    """1 where a claim is made that the scenario makes false, else 0."""

    def judged(bench: Bench, drawn: Drawn, told: Evidence) -> np.ndarray:
        made: dict[str, bool] = {}
        for one, claims in told.named_claims({}):
            if one.activity != "a0":
                continue
            for name, claim in claims:
                if name == statistic:
                    made[one.device] = is_shown(claim, of_people)
        return np.array([made[device] for device in sorted(made)], float)

    return judged


def is_shown(claim: Claim, of_people: bool) -> bool:
    """Whether it is, of people or else of the wearers there were alone."""
    about_people = not claim.sentence.startswith(("On th", "In these"))
    return claim.verdict == Verdict.SHOWN and about_people == of_people


def any_sign(bench: Bench, drawn: Drawn, told: Evidence) -> np.ndarray:
    """1 where FAMILY devices together have a sign claimed at any activity or over all, else 0."""
    made: dict[str, bool] = {}
    for one, claims in told.named_claims({}):
        shown = any(name == "bias" and claim.verdict == Verdict.SHOWN for name, claim in claims)
        made[one.device] = made.get(one.device, False) or shown
    by_device = np.array([made[device] for device in sorted(made)], float)
    return by_device.reshape(-1, FAMILY).max(axis=1)


def any_pair(bench: Together, drawn: DrawnTogether, told: Evidence) -> np.ndarray:
    """1 where of devices that are alike any two are said to differ, else 0."""
    made = np.zeros(len(drawn.error))
    for row in told.duel_rows({}):
        if row["activity"] == ALL_ACTIVITIES and row["claim"].verdict == Verdict.SHOWN:
            made[_draw(row["device_a"])] = 1
    return made


def closer_of_people(bench: Together, drawn: DrawnTogether, told: Evidence) -> np.ndarray:
    """1 where one of two devices that are alike over people is said to be closer on people."""
    return np.array([is_shown(row["claim"], True) for row in _duels(told)], float)


def closer_on_these(bench: Together, drawn: DrawnTogether, told: Evidence) -> np.ndarray:
    """1 where that device is said to be closer of two that on these wearers is not, else 0."""
    said = [
        (row["claim"].verdict == Verdict.SHOWN, row["duel"].difference.value < 0)
        for row in _duels(told)
    ]
    shown, first = np.array(said).T
    return (shown & (first != (drawn.first_closer > 0.5))).astype(float)


def _duels(told: Evidence) -> list[dict[str, Any]]:
    """Of each draw of two devices, in order."""
    rows = [row for row in told.duel_rows({}) if row["activity"] == ALL_ACTIVITIES]
    return sorted(rows, key=lambda row: _draw(row["device_a"]))


def _draw(device: str) -> int:
    return int(device[1:].partition("-")[0])


def changed(bench: Updated, drawn: DrawnUpdates, told: Evidence) -> np.ndarray:
    """1 where the error is said to have changed with the firmware, else 0."""
    return np.array([claim.verdict == Verdict.SHOWN for claim in told.firmware_claims({})], float)


MEAN = covers("bias", lambda bench, _: bench.mean)
OF_THESE = covers("bias", lambda _, drawn: drawn.of_these)
LOWER = covers("limit_lower", lambda bench, _: bench.limits[0])
UPPER = covers("limit_upper", lambda bench, _: bench.limits[1])

EVEN = Bench((5,))
UNEVEN = Bench((8,), uneven=0.6)
FAILING = Bench((15,), failing=0.2)
PEOPLE = Bench((12,), 3, of_wearers=2.0)


@dataclass(frozen=True)
class Scenario:
    name: str
    question: str
    wanted: float
    bench: AnyBench
    judge: Judge
    together: int = 1


def _of(sessions: int, bench: Bench, wearers: int | None = None) -> Bench:
    return replace(bench, activities=(sessions,), wearers=wearers or bench.wearers)


def scenarios() -> Iterator[Scenario]:
    for sessions in (15, 3):
        named = f"bias of an activity, good sensor, {sessions} sessions"
        yield Scenario(named, COVERS, 0.93, _of(sessions, EVEN), MEAN)
    for sessions in (15, 5, 8, 30):
        for side, judge in (("lower", LOWER), ("upper", UPPER)):
            name = f"{side} limit, sessions alike, {sessions} sessions"
            yield Scenario(name, COVERS, 0.93, _of(sessions, EVEN), judge)
    for sessions in (8, 15, 30):
        name = f"lower limit, spread within sessions skewed, {sessions} sessions"
        yield Scenario(name, COVERS, 0.84, _of(sessions, UNEVEN), LOWER)
    for sessions, wanted in ((8, 0.83), (15, 0.88), (30, 0.88)):
        named, bench = f"one session in five fails, {sessions} sessions", _of(sessions, FAILING)
        yield Scenario(f"bias of an activity, {named}", COVERS, wanted, bench, MEAN)
        for side, judge in (("lower", LOWER), ("upper", UPPER)):
            if sessions > 8:
                yield Scenario(f"{side} limit, {named}", COVERS, 0.9, bench, judge)
    for wearers in (1, 2):
        named = f"bias on {wearers} wearers, of these, 8 sessions"
        yield Scenario(named, COVERS, 0.93, _of(8, PEOPLE, wearers), OF_THESE)
    for wearers in (3, 4, 6):
        people = _of(4 * wearers, PEOPLE, wearers)
        at_margin = replace(people, bias=MARGINS.margin_bpm)
        # On every second wearer the device is off by so much that it fails the criterion.
        half = replace(people, bias=7.9, of_sessions=0.3)
        for name, statistic, bench in (
            ("sign of bias, people differ by 2 bpm", "bias", people),
            ("bias at the margin, people differ by 2 bpm", "equivalence", at_margin),
            ("criterion met on every second person", "met_within", half),
        ):
            judge = claimed(statistic, of_people=True)
            yield Scenario(f"{name}, {wearers} wearers", FALSE, 0.06, bench, judge)
    name = f"any sign of bias, {FAMILY} devices and 6 rows of each, all 0"
    yield Scenario(name, FALSE, 0.06, Bench((4, 4, 4, 4, 4)), any_sign, FAMILY)
    name = f"any of {FAMILY} devices closer, all alike, 12 sessions"
    yield Scenario(name, FALSE, 0.06, Together(12, devices=FAMILY), any_pair)
    name = "closer of people, alike over people who differ by 2 bpm, 6 wearers"
    yield Scenario(name, FALSE, 0.06, Together(24, 6, of_wearers=2.0), closer_of_people)
    name = "closer on these wearers, who differ by 2 bpm, 3 wearers"
    yield Scenario(name, FALSE, 0.06, Together(15, 3, of_wearers=2.0), closer_on_these)
    # Just so much closer where it does not fail that it is closer in half of all sessions.
    better = float(np.sqrt(2) * ndtri(0.5 / 0.85))
    name = "closer, of which one fails in 15 % of sessions, 12 sessions"
    yield Scenario(name, FALSE, 0.06, Together(12, failing=0.15, better=better), any_pair)
    name = "firmware that changes nothing, people differ by 2 bpm, 3 wearers"
    yield Scenario(name, FALSE, 0.06, Updated(16, 3, 2.0), changed)


@lru_cache(maxsize=1)
def told_of(bench: AnyBench, draws: int, together: int) -> tuple[Any, Evidence]:
    drawn = bench.drawn(draws * together, str(bench))
    return drawn, drawn.evidence(together)


def judged(scenario: Scenario, draws: int) -> Result:
    answers = scenario.judge(scenario.bench, *told_of(scenario.bench, draws, scenario.together))
    shown = ~np.isnan(answers)
    share = float(np.mean(answers[shown])) if shown.any() else math.nan
    return Result(
        scenario.question, scenario.name, scenario.wanted, share, float(np.mean(shown)), draws
    )


def of_a_session(name: str, sensor: Sensor, minutes: int, draws: int) -> Result:
    bias, held = registry.metric("bias"), []
    for draw in range(draws):
        random = generator(f"{name} {minutes} {draw}")
        differences = sensor.differences(60 * minutes, random)
        compared = Compared(np.zeros(differences.size), differences, Tolerance())
        sampled = Sampled(compared, Intervals(replicates=500), f"{name} {draw}")
        interval = bias.interval.of(bias.value(compared), sampled)
        if not math.isnan(interval.low):
            held.append(interval.low <= sensor.bias <= interval.high)
    scenario = f"bias of one session of {minutes} min, {name}"
    return Result(COVERS, scenario, 0.9, float(np.mean(held)), len(held) / draws, draws)


def results(draws: Mapping[str, int], part: str) -> Iterator[Result]:
    for name, sensor in SENSORS.items():
        for minutes in (20, 30, 90) if name in LONG_TOO else (20, 30):
            if part in f"bias of one session of {minutes} min, {name}":
                yield of_a_session(name, sensor, minutes, draws[COVERS])
    for scenario in scenarios():
        if part in scenario.name:
            yield judged(scenario, draws[scenario.question])


def main(covers: int = DRAWS[COVERS], false: int = DRAWS[FALSE], part: str = "") -> None:
    write(map(row_of, results({COVERS: covers, FALSE: false}, part)), sys.stdout)


def row_of(one: Result) -> Row:
    if not one.holds:
        print(f"  not as wanted: {one.scenario}", file=sys.stderr)
    side = "at most" if one.question == FALSE else "at least"
    return Row(one.question, one.scenario, side, one.wanted, one.found, one.shown, one.draws)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]), *sys.argv[3:4])
