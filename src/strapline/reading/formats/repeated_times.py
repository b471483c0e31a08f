"""Times that several rows share, for a file tells them to the minute only."""

import numpy as np

from strapline.reading.formats.columns import Reals

# Rows that share a second are several sensors, or one that is told too often.
_SHORTEST_S = 10
_FEWEST_ROWS, _MOSTLY = 3, 0.8


def spread(seconds: Reals) -> tuple[Reals, str] | None:
    """The times, rising, with the rows of each spread over it evenly, and a word on that; None
    where rows do not share their times, or not in like numbers."""
    known = np.isfinite(seconds)
    each, place, counts = np.unique(seconds[known], return_inverse=True, return_counts=True)
    if each.size < _FEWEST_ROWS or (np.diff(seconds[known]) < 0).any():
        return None
    long_s, many = float(np.median(np.diff(each))), int(np.median(counts))
    if long_s < _SHORTEST_S or many < _FEWEST_ROWS or np.mean(counts[1:-1] == many) < _MOSTLY:
        return None
    row_of_time = np.arange(place.size) - np.searchsorted(place, place)
    # A recording begins within its first time, and ends within its last.
    row_of_time[place == 0] += max(many - int(counts[0]), 0)
    spaced = seconds.copy()
    spaced[known] = seconds[known] + np.minimum(row_of_time, many - 1) * long_s / many
    said = (
        f"Its times are told every {long_s:g} s only, and {many} rows share each; they are spread "
        "over it evenly."
    )
    return spaced, said
