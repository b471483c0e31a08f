"""How near what is read from a picture is to the curve that was drawn."""

from dataclasses import dataclass

import numpy as np

from strapline.reading.pictures.curve import Curve


@dataclass(frozen=True)
class Score:
    """Shares of the columns that have a curve: those read, and of these those within 1 bpm or 0.75
    pixel, whichever is larger; and by how much the average and the maximum are off, in bpm."""

    read: float
    near: float
    average_bpm: float
    maximum_bpm: float

    @property
    def holds(self) -> bool:
        return (
            self.read >= 0.98
            and self.near >= 0.95
            and abs(self.average_bpm) <= 0.5
            and abs(self.maximum_bpm) <= 1.5
        )


def column_means(edges_s: np.ndarray, time_s: np.ndarray, rate: np.ndarray) -> np.ndarray:
    """The mean of a curve, drawn in straight lines, over each column's time; NaN in its gaps."""
    fine = 20
    steps = np.linspace(0, 1, fine, endpoint=False) + 0.5 / fine
    seconds = edges_s[:-1, None] + np.diff(edges_s)[:, None] * steps
    means: np.ndarray = np.interp(seconds, time_s, rate).mean(axis=1)
    return means


def off(
    curve: Curve, time_s: np.ndarray, rate: np.ndarray, bottom: float, top: float
) -> np.ndarray:
    """By how much each column is off, in bpm; NaN where it was not read, or has no curve."""
    read, true = _columns(curve, time_s, rate, bottom, top)
    return read - true


def score(curve: Curve, time_s: np.ndarray, rate: np.ndarray, bottom: float, top: float) -> Score:
    read, true = _columns(curve, time_s, rate, bottom, top)
    known = ~np.isnan(read - true)
    near = np.abs(read - true)[known] <= max(1.0, 0.75 * (top - bottom) / curve.plot.height)
    return Score(
        float(known.sum() / (~np.isnan(true)).sum()),
        float(near.mean()),
        float(read[known].mean() - np.nanmean(true)),
        float(read[known].max() - np.nanmax(rate)),
    )


def _columns(
    curve: Curve, time_s: np.ndarray, rate: np.ndarray, bottom: float, top: float
) -> tuple[np.ndarray, np.ndarray]:
    """What was read and what was drawn in each column, in bpm."""
    plot = curve.plot
    read = top - (curve.rows - plot.y0) * (top - bottom) / plot.height
    place = np.append(curve.columns - 0.5, curve.columns[-1] + 0.5)
    edges = time_s[0] + (place - plot.x0) / plot.width * (time_s[-1] - time_s[0])
    true = column_means(edges, time_s, rate)
    inside = (edges[:-1] >= time_s[0]) & (edges[1:] <= time_s[-1])
    return read, np.where(inside, true, np.nan)
