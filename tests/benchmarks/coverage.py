"""How often a nominal 95 % interval of a session's figures holds the true value.

    python tests/benchmarks/coverage.py [sessions]

Sessions are simulated with errors, and a heart rate, that are first-order autoregressions with
known means and spreads. Beside the intervals of figures stand two that are narrower:
'plain' takes the percentiles of a block bootstrap with blocks of the length of Politis & White,
'naive' those of a bootstrap that takes seconds as independent.
"""

import sys
from collections import Counter

import numpy as np
from scipy.signal import lfilter
from scipy.special import ndtr, ndtri

from strapline.ground.settings import Intervals, Tolerance
from strapline.method.agreement.dependence import block_length
from strapline.method.agreement.interval import Interval
from strapline.method.agreement.resampling import draw_blocks, generator
from strapline.method.metrics import registry
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled
from strapline.method.metrics.metric_rows import measured
from strapline.method.metrics.resamples import Resamples

TOLERANCE = Tolerance()
FIGURES = registry.given("every scope")
REPLICATES = 500
MEAN, SPREAD = 130.0, 20.0  # heart rate, bpm
BIAS, ERROR = 2.0, 4.0  # device minus reference, bpm
# Effective numbers of independent seconds, each made of more or less persistent ones.
CASES = [(30, 0.8), (30, 0.95), (40, 0.9), (60, 0.9), (120, 0.9), (240, 0.95)]


def true_values() -> dict[str, float]:
    """Of normal errors that are independent of a normal heart rate."""
    points = (np.arange(100_000) + 0.5) / 100_000
    heart_rate = MEAN + SPREAD * ndtri(points)
    size = np.sort(np.abs(BIAS + ERROR * ndtri(points)))

    def within(bound):
        share = ndtr((bound - BIAS) / ERROR) - ndtr((-bound - BIAS) / ERROR)
        return 100 * float(np.mean(share))

    relative = TOLERANCE.percent / 100 * heart_rate
    return {
        "mean_reference": MEAN,
        "bias": BIAS,
        "sd_of_differences": ERROR,
        "limit_lower": BIAS - 1.96 * ERROR,
        "limit_upper": BIAS + 1.96 * ERROR,
        "mae": float(np.mean(size)),
        "rmse": float(np.hypot(BIAS, ERROR)),
        "mape": 100 * float(np.mean(size) * np.mean(1 / heart_rate)),
        "absolute_error_p95": float(np.quantile(size, 0.95)),
        "within_beats": within(TOLERANCE.beats),
        "within_either": within(np.maximum(TOLERANCE.beats, relative)),
        "pearson_r": SPREAD / float(np.hypot(SPREAD, ERROR)),
        "concordance": 2 * SPREAD**2 / (2 * SPREAD**2 + ERROR**2 + BIAS**2),
    }


def autoregression(random, n, correlation, sd):
    """A stationary series of n values about 0."""
    shocks = random.normal(size=n)
    shocks[1:] *= np.sqrt(1 - correlation**2)
    return sd * lfilter([1.0], [1.0, -correlation], shocks)


def percentiles(reference, device, length, random):
    blocks = draw_blocks(reference.size, length, REPLICATES, random)
    resamples = Resamples(Compared(reference, device, TOLERANCE), blocks)
    return {
        metric.key: np.quantile(metric.interval.resampled(resamples), [0.025, 0.975])
        for metric in FIGURES
        if metric.interval.resampled
    }


def ours(reference, device, name):
    settings = Intervals(replicates=REPLICATES, shortest_s=10, fewest_independent=3)
    rows = measured(FIGURES, Sampled(Compared(reference, device, TOLERANCE), settings, name))
    return {row["metric"]: Interval(row["ci_low"], row["ci_high"]) for row in rows}


def hits(effective, correlation, sessions, truth):
    """How often each kind of interval held each true value."""
    n = round(effective * (1 + correlation) / (1 - correlation))
    held = Counter()
    for session in range(sessions):
        name = f"{effective} {correlation} {session}"
        random = generator(name)
        reference = MEAN + autoregression(random, n, correlation, SPREAD)
        device = reference + BIAS + autoregression(random, n, correlation, ERROR)
        intervals = ours(reference, device, name)
        length = round(block_length(device - reference))
        plain = percentiles(reference, device, length, random)
        naive = percentiles(reference, device, 1, random)
        for metric, value in truth.items():
            held["ours", metric] += intervals[metric].low <= value <= intervals[metric].high
            for kind, found in (("plain", plain), ("naive", naive)):
                if metric in found:
                    held[kind, metric] += found[metric][0] <= value <= found[metric][1]
    return held


def main(sessions: int) -> None:
    truth = true_values()
    tables = {case: hits(*case, sessions, truth) for case in CASES}
    slack = 100 * np.sqrt(0.95 * 0.05 / sessions)
    print(f"{sessions} sessions a column: chance alone moves a coverage by {slack:.1f} (SD)")
    print(f"{'percent of intervals that hold the true value (nominal: 95)':60}")
    print(" " * 20 + "".join(f"  n_eff {n:3}, r {r:4}  " for n, r in CASES))
    print(" " * 20 + " ours  plain  naive  " * len(CASES))
    for metric in truth:
        cells = ""
        for held in tables.values():
            for kind in ("ours", "plain", "naive"):
                known = (kind, metric) in held
                cells += f"{100 * held[kind, metric] / sessions:5.1f}  " if known else "    –  "
        print(f"{metric:20}{cells}")


if __name__ == "__main__":
    main(*([int(argument) for argument in sys.argv[1:]] or [500]))
