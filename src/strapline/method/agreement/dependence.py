"""How far seconds of one recording repeat one another: autocorrelation, the effective number of
independent values, and the length of block a bootstrap should keep together.

A series has shape (n,), one value a second (or any other even step); NaN marks what is missing.
Missing values are left out by the amplitude-modulated estimate (Parzen 1963, from memory): each
autocovariance is summed over the pairs present and divided by n. A series with fewer than three
values raises ValueError.
"""

from dataclasses import dataclass

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft

# Politis & White 2004: how many autocorrelations in a row must be small, and how small.
LAGS_IN_A_ROW = 5
SMALL = 2.0


def block_length(series: np.ndarray) -> float:
    """The length of block, in steps and not rounded, that minimises the mean squared error of the
    variance of the mean by a circular block bootstrap.

    Politis & White 2004, Econometric Reviews 23:53-70, corrected by Patton, Politis & White
    2009, 28:372-375. At least 1, which a series that does not vary has.
    """
    n = series.size
    moments = _flat_top_moments(series)
    if moments is None or moments.spectrum == 0:
        return 1.0
    ratio = (moments.slope / moments.spectrum) ** 2
    longest = np.ceil(min(3 * np.sqrt(n), n / 3))
    return float(np.clip((2 * ratio / (4 / 3) * n) ** (1 / 3), 1, longest))


def effective_size(series: np.ndarray) -> float:
    """Values present over the time in which they repeat each other; between 1 and the values
    present.

    That time is the sum of all autocorrelations, by the initial monotone sequence (Geyer 1992,
    Stat Sci 7:473-483, from memory): lags are taken two by two for as long as the sum of both is
    above 0, and no pair counts for more than the one before. It has no longest lag, so that a
    device that fails for minutes is not taken to repeat itself for seconds.
    """
    deviation = _deviations(series)
    present = int(np.count_nonzero(~np.isnan(series)))
    if not deviation.any():
        return float(present)
    covariance = _autocovariances(deviation)
    pairs = covariance[: covariance.size // 2 * 2].reshape(-1, 2).sum(axis=1) / covariance[0]
    ends = np.flatnonzero(pairs <= 0)
    falling = np.minimum.accumulate(pairs[: ends[0] if ends.size else pairs.size])
    repeats = 2 * float(np.sum(falling)) - 1
    return float(np.clip(present / repeats, 1, present)) if repeats > 1 else float(present)


def _autocovariances(deviation: np.ndarray) -> np.ndarray:
    """In sums over the pairs present, at every lag; by way of the spectrum."""
    n = deviation.size
    spectrum = np.abs(rfft(deviation, next_fast_len(2 * n, real=True))) ** 2
    covariances: np.ndarray = irfft(spectrum, next_fast_len(2 * n, real=True))[:n]
    return covariances


@dataclass(frozen=True)
class _Moments:
    """Autocovariances R(k) in sums over all k with the flat-top window."""

    spectrum: float  # sum of R(k), the long-run variance
    slope: float  # sum of |k| R(k)


def _flat_top_moments(series: np.ndarray) -> _Moments | None:
    deviation = _deviations(series)
    n = deviation.size
    if not deviation.any():
        return None
    in_a_row = max(LAGS_IN_A_ROW, int(np.log10(n)))
    most = min(int(np.ceil(np.sqrt(n))) + in_a_row, n - 2)
    products = np.array([deviation[k:] @ deviation[: n - k] for k in range(most + 1)])
    bandwidth = _bandwidth(products, deviation, in_a_row)
    lags = np.arange(1, bandwidth + 1)
    weights = np.clip(2 * (1 - lags / bandwidth), 0, 1)
    covariance = products[lags] / n
    return _Moments(
        spectrum=products[0] / n + 2 * float(weights @ covariance),
        slope=2 * float(weights @ (lags * covariance)),
    )


def _bandwidth(products: np.ndarray, deviation: np.ndarray, in_a_row: int) -> int:
    """Twice the first lag from which `in_a_row` correlations are insignificant."""
    n, most = deviation.size, products.size - 1
    # Each correlation is scaled by the two stretches that overlap at its lag.
    energy = np.concatenate([[0.0], np.cumsum(deviation**2)])
    kept = n - 1 - np.arange(most + 1)
    scale = np.sqrt(energy[kept] * (energy[n] - energy[n - kept]))
    small = np.abs(products) < SMALL * np.sqrt(np.log10(n) / n) * scale
    # A series of a few values has fewer lags than that.
    width = min(in_a_row, most)
    runs = np.lib.stride_tricks.sliding_window_view(small[:-1], width).all(axis=1)
    first = int(np.argmax(runs)) if runs.any() else most
    return min(2 * max(first, 1), most)


def _deviations(series: np.ndarray) -> np.ndarray:
    present = ~np.isnan(series)
    if np.count_nonzero(present) < 3:
        raise ValueError("a series needs at least three values")
    deviation: np.ndarray = np.where(present, series - np.mean(series[present]), 0.0)
    return deviation
