"""What lies behind a curve: a colour, bands of colours, a grid."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

# Colours closer than this are one, out of 255: JPEG at quality 70 moves them by less.
ALIKE = 20.0
# A line of the grid, or a band, takes at least this share of what was background beside it.
_MOST, _FILLED = 0.5, 0.05
# In fewer of a row's columns a curve may be what most of them show.
_LEAST_WIDE = 0.05
# A background that changes is followed by this share of what it changes in a row, and not as fast
# as at the edge of a line of the grid.
_DRIFT = 0.2
# As thick as a line of the grid may be.
_THICKEST = 9
# An axis is in this share of the columns; it reaches so many rows into the plot, and JPEG blurs so
# many more.
_WHOLE, _AXIS, _BLURRED = 0.9, 6, 1


def departure(pixels: np.ndarray) -> np.ndarray:
    """How far each pixel's colour is from what lies behind the curve, by red, green and blue, shape
    (height, width, 3)."""
    colours = pixels.astype(np.float32)
    upper = colours[: max(3, colours.shape[0] // 10)]
    left = colours - _followed(colours, _commonest(upper.reshape(-1, 3)), has_bands=True)[:, None]
    by_channel: np.ndarray = left - _by_column(left.transpose(1, 0, 2))[None]
    foot = by_channel[-(_AXIS + _BLURRED + 1) :]
    foot[:, _is_axis(foot)] = 0
    return by_channel


def _is_axis(foot: np.ndarray) -> np.ndarray:
    """A mask of the columns in which no more than an axis is drawn at a plot's foot, its last rows,
    shape (rows, columns, 3), and of those beside them, which an area may fill in part. Where an
    area of its colour ends, or pauses, the axis is all that goes on: no column is lower."""
    drawn = ~_is_like(foot, np.zeros(3))
    high = np.where(drawn.all(axis=0), len(foot), drawn[::-1].argmin(axis=0))
    is_whole = np.mean(high > 0) >= _WHOLE
    lowest = high[high > 0].min() if is_whole else len(foot)
    is_axis = (high <= lowest + _BLURRED) & (lowest <= _AXIS)
    beside: np.ndarray = ndimage.binary_dilation(is_axis)
    return beside


def _by_column(left: np.ndarray) -> np.ndarray:
    """What lies behind each column, shape (width, height, 3), less what lies behind its rows: from
    the one of which most does, both ways. A band would be a filled curve after a pause."""
    plain = _is_like(left, np.zeros(3)).sum(axis=1)
    start = int(np.argmax(plain))
    back, on = (
        _followed(part, np.zeros(3), has_bands=False) for part in (left[start::-1], left[start:])
    )
    return np.concatenate([back[:0:-1], on])


def _followed(colours: np.ndarray, last: np.ndarray, has_bands: bool) -> np.ndarray:
    """Of each row, shape (rows, columns, 3), going on from a colour: that which most of what was
    background in the row before now has, for the width of a line, or for good where there are
    bands. What columns beside them have too is no background but a filled curve, of which these are
    the last to begin."""
    behind = np.empty((colours.shape[0], 3), np.float32)
    before = np.ones(colours.shape[1], bool)
    lasted = np.full(colours.shape[1], _THICKEST)
    lines: list[np.ndarray] = []
    for row, own in enumerate(colours):
        if before.any() and _share_of(own[before], last) < _MOST:
            common = _commonest(own[before])
            is_wide = before.mean() >= _LEAST_WIDE
            # Beside a curve few columns show a line, but it has the colour of others.
            is_line = is_wide or any(_is_like(common, line) for line in lines)
            if is_line and _share_of(own[before], common) >= _MOST:
                if _returns(colours[row + 1 : row + 1 + _THICKEST, before], last):
                    behind[row] = common
                    lines.append(common)
                    continue
                filled = _is_like(own[~before], common).sum() > _FILLED * before.size
                last = common if has_bands and is_wide and not filled else last
        is_behind = _is_like(own, last)
        if is_behind.any():
            # A line of the grid over a filled curve is no background again.
            lasted = np.where(is_behind, lasted + 1, 0)
            before = lasted >= _THICKEST if (lasted >= _THICKEST).any() else before
            behind[row] = np.median(own[is_behind], axis=0)
            last = last + _DRIFT * (behind[row] - last)
        else:
            behind[row] = last
    return behind


def _returns(following: np.ndarray, colour: np.ndarray) -> bool:
    """Whether rows that follow, shape (rows, columns, 3), are soon of this colour again."""
    return any(_share_of(own, colour) >= _MOST for own in following)


def _commonest(colours: np.ndarray) -> np.ndarray:
    """The commonest colour, shape (3,), of some, shape (n, 3)."""
    coarse = np.round(colours / 16).astype(np.int64) @ np.array([1, 64, 4096])
    values, counts = np.unique(coarse, return_counts=True)
    middle: np.ndarray = np.median(colours[coarse == values[np.argmax(counts)]], axis=0)
    return middle


def _is_like(colours: np.ndarray, colour: np.ndarray) -> np.ndarray:
    alike: np.ndarray = np.linalg.norm(colours - colour, axis=-1) < ALIKE
    return alike


def _share_of(colours: np.ndarray, colour: np.ndarray) -> float:
    return float(_is_like(colours, colour).mean()) if len(colours) else 0.0
