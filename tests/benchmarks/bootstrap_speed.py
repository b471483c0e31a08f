"""The block bootstrap against the usual loop over resamples, in one run on one machine.

    python tests/benchmarks/bootstrap_speed.py [seconds] [replicates]

Same scheme (circular blocks of one length), same number of replicates. `arch` resamples and
calls a function for each replicate; `scipy.stats.bootstrap` is given the blocks as its cases
and a vectorised statistic. The best of three runs counts.
"""

import sys
import time

import numpy as np
from arch.bootstrap import CircularBlockBootstrap
from scipy import stats
from scipy.signal import lfilter

from strapline.ground.settings import Intervals, Tolerance
from strapline.method.agreement.resampling import draw_blocks, generator
from strapline.method.metrics import registry
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled
from strapline.method.metrics.metric_rows import measured, value_of
from strapline.method.metrics.resamples import Resamples

TOLERANCE = Tolerance()
# Not the number of independent seconds, which belongs to the order in which they came.
FIGURES = [m for m in registry.given("every scope") if m.key != "effective_n"]
LENGTH = 60


def best_of_three(task) -> float:
    """Milliseconds."""
    times = []
    for _ in range(3):
        started = time.perf_counter()
        task()
        times.append(time.perf_counter() - started)
    return min(times) * 1000


def session(seconds):
    random = generator("bootstrap speed")
    reference = 130 + 30 * np.sin(np.arange(seconds) / 200)
    return reference, reference + lfilter([1.5], [1, -0.9], random.normal(size=seconds))


def main(seconds: int, replicates: int) -> None:
    reference, device = session(seconds)
    size = np.abs(device - reference)
    random = generator("draws")

    def blocks():
        return draw_blocks(seconds, LENGTH, replicates, random)

    def figures(r, d):
        compared = Compared(r, d, TOLERANCE)
        return np.array([value_of(metric, compared) for metric in FIGURES])

    def figures_resampled():
        resamples = Resamples(Compared(reference, device, TOLERANCE), blocks())
        return [m.interval.resampled(resamples) for m in FIGURES if m.interval.resampled]

    def figures_with_intervals():
        settings = Intervals(replicates=replicates, shortest_s=10, fewest_independent=3)
        measured(FIGURES, Sampled(Compared(reference, device, TOLERANCE), settings, "speed"))

    def cases_of_scipy():
        repeated = np.concatenate([size, size[: LENGTH - 1]])
        cases = np.lib.stride_tricks.sliding_window_view(repeated, LENGTH)

        def mean_of_blocks(index, axis):
            picked = index.astype(int).take(np.arange(-(-seconds // LENGTH)), axis=-1)
            return cases[picked].reshape(*picked.shape[:-1], -1)[..., :seconds].mean(axis=-1)

        stats.bootstrap(
            (np.arange(seconds),),
            mean_of_blocks,
            n_resamples=replicates,
            vectorized=True,
            method="percentile",
            rng=random,
        )

    rows = {
        "every figure": (
            figures_resampled,
            {
                "arch": lambda: CircularBlockBootstrap(LENGTH, reference, device, seed=1).apply(
                    figures, replicates
                )
            },
        ),
        "every figure with its interval": (
            figures_with_intervals,
            {
                "arch": lambda: CircularBlockBootstrap(LENGTH, reference, device, seed=1).conf_int(
                    figures, replicates, method="percentile"
                )
            },
        ),
        "mean absolute error": (
            lambda: blocks().sums(size) / seconds,
            {
                "arch": lambda: CircularBlockBootstrap(LENGTH, size, seed=1).apply(
                    np.mean, replicates
                ),
                "scipy": cases_of_scipy,
            },
        ),
    }
    print(f"{seconds} seconds, blocks of {LENGTH}, {replicates} replicates")
    for name, (ours, others) in rows.items():
        here = best_of_three(ours)
        for other, task in others.items():
            there = best_of_three(task)
            print(
                f"{name:32} {here:8.2f} ms   {other:6}{there:9.1f} ms   {there / here:6.0f} times"
            )


if __name__ == "__main__":
    given = [int(argument) for argument in sys.argv[1:]]
    main(*given, *(2700, 1000)[len(given) :])
