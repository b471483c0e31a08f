"""How well clocks are decided, on pairs whose truth is known.

    cd tests && python -m benchmarks.clocks [pairs a row] [strangers] [--table FILE]

Simulates runs and rides of 35 to 75 minutes by a pace, a heart that follows it and sensors that
follow the heart: lags of 0 to 15 s (first order, a running mean, or slower down than up), faults,
clocks that are off by 0, ±2, ±8 or ±25 s, that drift by 2 or 15 s an hour, or a file that leaves a
pause out or was stopped early; with speed in both files, smoothed and noisy as devices write it,
once a second or less often, in one of them also as a mean over the last seconds, up to 10, or
without. Prints by kind of evidence the share decided, how far decided clocks are from the truth (in
95 of 100 seconds), how often a right clock was moved by more than 3 s, how far the delay that is
left is from the true one, and how often its interval, by a clock as sure as is said, holds that.
Then two people on two workouts, of which none may set a clock. What the Method page shows is in
`src/strapline/telling/report/clocks_set.csv`, as `--table` writes it.
"""

import argparse
from collections import defaultdict
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.ndimage import gaussian_filter1d, uniform_filter1d
from scipy.signal import lfilter

import intakes
from benchmarks.clock_table import table
from benchmarks.performance_table import write
from strapline.ground.records.alignment import ClockDecision
from strapline.ground.settings import Alignment
from strapline.ground.vocabulary import Decision
from strapline.method.signal.clocks.channel import Channel
from strapline.method.signal.clocks.decide import by_evidence
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.response import response
from strapline.method.signal.trace import Trace

START_S = 1_750_000_000.0
CLOCKS_S = (0.0, 2.0, -2.0, 8.0, -8.0, 25.0, -25.0)
LAGS = ("none", "first order", "running mean", "slow down")
KINDS = (
    "speed in both",
    "heart rate alone",
    "drift",
    "fast drift",
    "pause left out",
    "unequal filters",
    "pause, heart rate",
    "stopped early",
)
WITH_OFFSETS = ("speed in both", "heart rate alone", "unequal filters")
LONGEST_MEAN_S = 10
DRIFTS_PER_HOUR_S = {"drift": 2.0, "fast drift": 15.0}
RIGHT_S = 3.0
# No rule was chosen by what these seeds and those after them draw.
FIRST_SEED = 7000
GAP_S = 10.0
DELAYS = ("throughout", "rising", "falling")
WITHOUT_SPEED = ("heart rate alone", "pause, heart rate", "stopped early")


@dataclass(frozen=True)
class Workout:
    """One value a second: pace in m/s and heart rate in bpm."""

    pace: np.ndarray
    rate: np.ndarray


def workout(chance: np.random.Generator) -> Workout:
    seconds = int(chance.uniform(35, 75) * 60)
    lengths = chance.integers(30, 240, 200)
    level = np.repeat(chance.uniform(2.0, 4.5, 200), lengths)[:seconds]
    ground = 1 + 0.08 * gaussian_filter1d(chance.normal(size=seconds), 8) / 0.19
    pace = gaussian_filter1d(level, 3) * np.clip(ground, 0.3, None)
    effort = 60 + 32 * gaussian_filter1d(level, 3) + chance.normal(0, 3)
    keep = np.exp(-1 / 35)
    rate, _ = lfilter([1 - keep], [1, -keep], effort, zi=[keep * 100.0])
    waves = gaussian_filter1d(chance.normal(size=seconds), 20)
    return Workout(pace, rate + 3 * waves / waves.std())


def sensed(rate: np.ndarray, lag: str, lag_s: float, chance: np.random.Generator) -> np.ndarray:
    """What a wrist shows: late in its own way, off by a beat or two, wrong for a minute or so."""
    late = rate
    up, down = (_kept(each_s) for each_s in late_s(lag, lag_s)[1:])
    if lag_s and lag == "first order":
        late, _ = lfilter([1 - up], [1, -up], rate, zi=[up * rate[0]])
    elif lag_s and lag == "running mean":
        width = int(2 * lag_s) + 1
        padded = np.pad(rate, (width - 1, 0), mode="edge")
        late = np.convolve(padded, np.full(width, 1 / width), mode="valid")
    elif lag_s and lag == "slow down":
        late = rate.copy()
        for t in range(1, late.size):
            keep = up if rate[t] > late[t - 1] else down
            late[t] = rate[t] + (late[t - 1] - rate[t]) * keep
    shown = late + gaussian_filter1d(chance.normal(size=rate.size), 4) * 4
    for start in chance.integers(0, rate.size, chance.poisson(2)):
        shown[start : start + chance.integers(20, 120)] -= chance.uniform(15, 40)
    return np.round(shown)


def late_s(lag: str, lag_s: float) -> tuple[float, float, float]:
    """By how much that is late, throughout, at rises and at falls: its response's mean delay."""
    if lag == "running mean":
        lag_s = int(2 * lag_s) / 2
    return (lag_s, lag_s / 2, 1.5 * lag_s) if lag == "slow down" else (lag_s, lag_s, lag_s)


def _kept(late_s: float) -> float:
    """What is left in a second of how far a first-order response lags that is so late on average:
    1 of so many beats is shown at once, the next share a second later, and so on."""
    return late_s / (1 + late_s)


def measured(pace: np.ndarray, chance: np.random.Generator, mean_s: int = 1) -> Channel:
    """Speed as a device writes it: smoothed by up to 2 s, noisy, each second or less often; as a
    mean over the last `mean_s` seconds."""
    smooth = gaussian_filter1d(pace, chance.uniform(0.5, 2)) + chance.normal(0, 0.25, pace.size)
    smooth = np.convolve(
        np.pad(smooth, (mean_s - 1, 0), "edge"), np.full(mean_s, 1 / mean_s), "valid"
    )
    second = np.arange(pace.size)
    if chance.random() < 0.3:
        second = np.unique(np.cumsum(chance.integers(1, 9, pace.size)))
        second = second[second < pace.size]
    return Channel(START_S + second, smooth[second])


def decided(rate: np.ndarray, wrist: Trace, channels: tuple[dict, dict]) -> ClockDecision:
    reference = Trace(START_S + np.arange(rate.size), rate)
    return by_evidence(
        Pair(reference, wrist, intakes.strap(), intakes.recording(), *channels, Alignment(), GAP_S)
    )


def judged(task: tuple[str, int]) -> dict[str, object]:
    kind, seed = task
    chance = np.random.default_rng([seed, KINDS.index(kind)])
    truth, lag = workout(chance), str(chance.choice(LAGS))
    lag_s = 0.0 if lag == "none" else float(chance.uniform(1, 15))
    clock_s = float(chance.choice(CLOCKS_S)) if kind in WITH_OFFSETS else 0.0
    second = np.arange(truth.rate.size)
    shown = sensed(truth.rate, lag, lag_s, chance)
    means = [1, 1]
    if kind == "unequal filters":
        means = chance.permutation([1, int(chance.integers(2, LONGEST_MEAN_S + 1))]).tolist()
    ours, theirs = (measured(truth.pace, chance, mean_s) for mean_s in means)
    true_s = START_S + second
    device_s = true_s + clock_s
    if gains := DRIFTS_PER_HOUR_S.get(kind):
        device_s = device_s + gains * second / 3600
        theirs = Channel(theirs.time_s + gains * (theirs.time_s - START_S) / 3600, theirs.value)
    if kind == "stopped early":
        end = -int(chance.integers(20, 150))
        device_s, shown, true_s = device_s[:end], shown[:end], true_s[:end]
    if kind.startswith("pause"):
        pause = (
            int(chance.integers(second.size // 3, second.size // 2)),
            int(chance.integers(20, 150)),
        )
        true_s = _cut(device_s, true_s, *pause)[1]
        device_s, shown = _cut(device_s, shown, *pause)
        theirs = Channel(*_cut(theirs.time_s, theirs.value, *pause))
    channels = ({}, {}) if kind in WITHOUT_SPEED else _both(ours, theirs, clock_s)
    rate = np.round(uniform_filter1d(truth.rate, 3))
    found = decided(rate, Trace(device_s, shown), channels)
    # At each of the device's times what is added, NaN where it is left out, and what should be.
    added_s, should_s = found.offsets(device_s), true_s - device_s
    known = np.isfinite(added_s)
    return {
        "kind": kind,
        "decision": found.decision,
        "moved": float(np.abs(added_s[known]).max()),
        "error": float(np.percentile(np.abs(added_s - should_s)[known], 95)),
        "left out": float(1 - known.mean()),
        "right": bool(np.abs(should_s).max() <= RIGHT_S),
        "lag": lag,
        **(
            published(found, rate, Trace(device_s, shown), late_s(lag, lag_s))
            if kind == KINDS[0]
            else {}
        ),
    }


def published(
    found: ClockDecision, rate: np.ndarray, wrist: Trace, truth_s: tuple[float, float, float]
) -> dict[str, tuple[float, bool]]:
    """How far each delay that is told is from the true one, and whether its interval holds that."""
    if found.is_fitted or found.decision == Decision.STEPPING:
        return {}
    placed = wrist.shifted(found.offsets(wrist.time_s))
    told = response(rate, placed.at(START_S + np.arange(rate.size), GAP_S))
    return {
        name: (one.delay_s - truth, one.low_s <= truth <= one.high_s)
        for name, truth in zip(DELAYS, truth_s, strict=True)
        if (one := getattr(told, name) and getattr(told, name).by_clock(found.within_s))
    }


def _both(ours: Channel, theirs: Channel, clock_s: float) -> tuple[dict, dict]:
    return {"speed_m_s": ours}, {"speed_m_s": Channel(theirs.time_s + clock_s, theirs.value)}


def _cut(
    time_s: np.ndarray, values: np.ndarray, start: int, length: int
) -> tuple[np.ndarray, np.ndarray]:
    """Without the pause, whose seconds the file's clock does not count."""
    before, after = time_s < START_S + start, time_s >= START_S + start + length
    return (
        np.concatenate([time_s[before], time_s[after] - length]),
        np.concatenate([values[before], values[after]]),
    )


def strangers(seed: int) -> bool:
    """Whether one of two people on two workouts sets the other's clock."""
    chance = np.random.default_rng([seed, 99])
    one, other = workout(chance), workout(chance)
    shown = sensed(other.rate, "none", 0, chance)
    channels = _both(measured(one.pace, chance), measured(other.pace, chance), 0.0)
    rate = np.round(uniform_filter1d(one.rate, 3))
    found = decided(rate, Trace(START_S + np.arange(shown.size), shown), channels)
    return found.decision not in ("refused", "stepping")


def lines(rows: list[dict[str, object]]) -> Iterator[str]:
    by_kind = defaultdict(list)
    for row in rows:
        by_kind[row["kind"]].append(row)
    yield "evidence            pairs  decided  error, median  worst  moved wrongly"
    for kind, own in by_kind.items():
        told = [row for row in own if row["decision"] not in ("refused", "stepping")]
        errors = [row["error"] for row in told] or [np.nan]
        wrong = sum(bool(row["right"]) and row["moved"] > RIGHT_S for row in own)
        right = sum(bool(row["right"]) for row in own)
        yield (
            f"{kind:18}{len(own):7}{100 * len(told) / len(own):8.0f} %{np.median(errors):13.1f} s"
            f"{max(errors):5.1f} s{wrong:8} of {right}"
        )
        if out := [row["left out"] for row in told if row["left out"]]:
            yield f"    set right in parts {len(out)}, with {100 * np.median(out):.1f} % left out"
        kinds = sorted({str(row["decision"]) for row in own})
        counts = {one: sum(row["decision"] == one for row in own) for one in kinds}
        yield "    " + ", ".join(f"{one} {count}" for one, count in counts.items())
    yield from delay_lines([row for row in rows if row["kind"] == KINDS[0]])


def delay_lines(rows: list[dict[str, object]]) -> Iterator[str]:
    """How far published delays are from the truth, by kind of lag."""
    yield f"delay left by {KINDS[0]}     told  off by, median  nine of ten within  worst  held"
    for lag in LAGS:
        own = [row for row in rows if row["lag"] == lag]
        for name in DELAYS:
            told = [row[name] for row in own if name in row]
            if told:
                off, held = np.array(told).T
                yield (
                    f"{lag + ', ' + name:30}{100 * off.size / len(own):4.0f} %"
                    f"{np.median(off):+14.1f} s{np.percentile(np.abs(off), 90):18.1f} s"
                    f"{np.abs(off).max():5.1f} s{100 * held.mean():4.0f} %"
                )


def _seeds(count: int) -> range:
    return range(FIRST_SEED, FIRST_SEED + count)


def main() -> None:
    parser = argparse.ArgumentParser(description="How well clocks are decided.")
    parser.add_argument("pairs", type=int, nargs="?", default=100)
    parser.add_argument("strangers", type=int, nargs="?", default=300)
    parser.add_argument("--table", type=Path)
    asked = parser.parse_args()
    with ProcessPoolExecutor() as pool:
        tasks = [(kind, seed) for kind in KINDS for seed in _seeds(asked.pairs)]
        rows = list(pool.map(judged, tasks, chunksize=8))
        print("\n".join(lines(rows)))
        accepted = sum(pool.map(strangers, _seeds(asked.strangers), chunksize=8))
    print(f"strangers whose clock was set: {accepted} of {asked.strangers}")
    if asked.table:
        with asked.table.open("w", encoding="utf-8", newline="") as file:
            write(table(rows, accepted, asked.strangers), file)


if __name__ == "__main__":
    main()
