"""Means over longer epochs: publications compare at 1, 5, 15 or 60 s, and errors shrink with it."""

import numpy as np


def epoch_means(
    reference: np.ndarray, device: np.ndarray, length_s: int
) -> tuple[np.ndarray, np.ndarray]:
    """Means of both heart rates over epochs of `length_s`, counted from the first second.

    reference, device: bpm at each second, shape (n,), NaN in both where they are not compared.
    An epoch counts if at least half of its seconds are compared (common practice, no source);
    the last one may be shorter than that and then does not. Returns two arrays, shape (m,).
    """
    known = ~np.isnan(reference) & ~np.isnan(device)
    epoch = np.arange(reference.size)[known] // length_s
    count = np.bincount(epoch)
    enough = count >= length_s / 2
    sums = (np.bincount(epoch, weights=rate[known]) for rate in (reference, device))
    ours, theirs = (total[enough] / count[enough] for total in sums)
    return ours, theirs
