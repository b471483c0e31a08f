"""Which pixels of a plot are the curve's, and not those of text, a legend or another curve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from strapline.reading.pictures.dashes import straight
from strapline.reading.pictures.unreadable import SeveralCurves, UnreadablePicture

# How far of 255 a pixel's colour is from the background where something is drawn.
DRAWN = 24.0
# Where more of a plot is drawn on, as in a photo, it is none.
_MOST_DRAWN = 0.95
# A line of the grid that is drawn over the curve cuts it; so thick it may be.
_CUT = 7
# Shares of the plot's width: the least of a curve, of a piece of it, and of a rival.
_LEAST_CURVE, _LEAST_PIECE, _LEAST_RIVAL = 0.1, 0.005, 0.2
# Pieces of a curve are so alike in thickness, and share so few columns.
_ALIKE, _SHARED = 3.0, 0.2
# A candidate is so strong, by the strongest of its column: JPEG leaves specks beside a line.
_AS_STRONG = 0.35
# What is smaller both ways, in pixels, is a speck.
_SPECK = 3
# Above this share of columns with two candidates there are two curves.
_MOST_DOUBLE = 0.3

NO_CURVE = (
    "No curve was found in the plot: no line, and no filled area. Separate bars and dots cannot be "
    "read. If a curve is there, correct picture.area, or the colour under picture.colour."
)


@dataclass(frozen=True)
class Runs:
    """The curve's pixels in each column, from row `top` to row `bottom`, shape (columns,); -1 where
    there is none, a mask of the columns in which two candidates remain, and whether nothing else is
    drawn that is larger than a speck."""

    top: np.ndarray
    bottom: np.ndarray
    is_double: np.ndarray
    is_alone: bool

    @property
    def has_one(self) -> np.ndarray:
        one: np.ndarray = (self.top >= 0) & ~self.is_double
        return one


@dataclass(frozen=True)
class _Piece:
    columns: np.ndarray
    width: int
    thickness: float


def runs_of(strength: np.ndarray, least: float = DRAWN) -> Runs:
    """The curve, from how far each pixel is from the background, shape (height, width), and from
    how far on it is drawn.

    Raises UnreadablePicture where there is no curve, or two that are alike.
    """
    drawn = strength > least
    if drawn.mean() > _MOST_DRAWN:
        raise UnreadablePicture(NO_CURVE)
    # Rows above and below keep what closing would take off at the edges.
    padded = np.pad(drawn, ((_CUT, _CUT), (0, 0)))
    closed = ndimage.binary_closing(padded, np.ones((_CUT, 1), bool))[_CUT:-_CUT]
    labels, _ = ndimage.label(closed, np.ones((3, 3), int))
    places = ndimage.find_objects(labels)
    lines = straight(places, labels.shape)
    kept, rivalled = _pieces(np.where(np.isin(labels, lines), 0, labels))
    mask = np.isin(labels, kept)
    mask, candidates = _candidates(strength, mask)
    is_double = (candidates > 1) | rivalled
    any_there = mask.any(axis=0)
    if is_double.sum() > _MOST_DOUBLE * any_there.sum():
        raise SeveralCurves("Two curves are in the plot.")
    top = np.where(any_there, mask.argmax(axis=0), -1)
    bottom = np.where(any_there, mask.shape[0] - 1 - mask[::-1].argmax(axis=0), -1)
    others = ndimage.find_objects(np.where(mask, 0, labels))
    is_alone = not any(_is_drawn(where) for where in others if where is not None)
    return Runs(top, bottom, is_double & any_there, is_alone)


def _is_drawn(where: tuple[slice, ...]) -> bool:
    return all(side.stop - side.start >= _SPECK for side in where)


def _candidates(strength: np.ndarray, mask: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """A mask of the runs of each column that are as strong as a curve is there, and how many there
    are, shape (columns,)."""
    upright, count = ndimage.label(mask, [[0, 1, 0], [0, 1, 0], [0, 1, 0]])
    if not count:
        return mask, np.zeros(mask.shape[1], int)
    peaks = ndimage.maximum(strength, upright, np.arange(1, count + 1))
    column = np.array([where[1].start for where in ndimage.find_objects(upright)])
    strongest = np.where(mask, strength, 0).max(axis=0)
    strong = peaks >= _AS_STRONG * strongest[column]
    kept = np.append(False, strong)[upright]
    return kept, np.bincount(column[strong], minlength=mask.shape[1])


def _pieces(labels: np.ndarray) -> tuple[list[int], np.ndarray]:
    """The labels of the curve's pieces, and a mask of the columns where another has its like."""
    width = labels.shape[1]
    pieces = {
        label: piece
        for label, where in enumerate(ndimage.find_objects(labels), 1)
        if where is not None
        and where[1].stop - where[1].start >= max(3, _LEAST_PIECE * width)
        and (piece := _piece(labels[where] == label, where[1], width))
    }
    order = sorted(pieces, key=lambda label: (-pieces[label].width, label))
    if not order or pieces[order[0]].width < _LEAST_CURVE * width:
        raise UnreadablePicture(NO_CURVE)
    main = pieces[order[0]]
    kept, taken, rivalled = [order[0]], main.columns.copy(), np.zeros(width, bool)
    for label in order[1:]:
        piece = pieces[label]
        shared = piece.columns & taken
        if shared.sum() < _SHARED * piece.width:
            if 1 / _ALIKE <= piece.thickness / main.thickness <= _ALIKE:
                kept.append(label)
                taken |= piece.columns
        elif piece.width >= _LEAST_RIVAL * width:
            rivalled |= shared
    return kept, rivalled


def _piece(mask: np.ndarray, where: slice, width: int) -> _Piece:
    columns = np.zeros(width, bool)
    heights = mask.sum(axis=0)
    columns[where] = heights > 0
    return _Piece(columns, int(columns.sum()), float(np.median(heights[heights > 0])))
