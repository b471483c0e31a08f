"""The curve's own colour, and what of a picture is drawn in it."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from strapline.reading.pictures.background import ALIKE
from strapline.reading.pictures.candidates import DRAWN, Runs

# A pixel is of another colour that is so far, by the whole difference, from any mixture of the
# curve's and the background's; and it holds too little of the curve's below this share.
_OTHER, _LEAST = 0.3, 0.3
# Where the colour is stated, so much of a pixel as strong as this may be of no share of it.
_HUE, _DRAWN = 0.4, 0.3
# Of so many columns the strongest pixels are of one colour, where a curve has but one; it is the
# middle of this share of them, the strongest.
_ONE_COLOUR, _STRONGEST = 0.9, 0.25
# What is left of a pixel of this colour is no more than this share of it.
_LEFT = 0.4


def own_colour(pixels: np.ndarray, difference: np.ndarray, runs: Runs) -> np.ndarray | None:
    """The red, green and blue of a curve, from the strongest pixel of each column of its runs; None
    where they are of several colours, as in a curve coloured by zones."""
    columns = np.flatnonzero(runs.has_one)
    strength = np.linalg.norm(difference, axis=2)
    rows = np.arange(strength.shape[0])[:, None]
    inside = (rows >= runs.top[columns]) & (rows <= runs.bottom[columns])
    peaks = np.where(inside, strength[:, columns], 0).argmax(axis=0)
    cores, apart = pixels[peaks, columns].astype(float), difference[peaks, columns]
    strong = strength[peaks, columns]
    if not strong.size:
        return None
    colour: np.ndarray = np.median(cores[strong >= np.quantile(strong, 1 - _STRONGEST)], axis=0)
    whole = colour - (cores - apart)
    share, left = _mixed(apart, whole)
    is_own = (left <= _OTHER * np.linalg.norm(whole, axis=-1)) & (share >= _LEAST)
    return colour if np.mean(is_own) >= _ONE_COLOUR else None


def is_shown(difference: np.ndarray, own: np.ndarray) -> bool:
    """Whether what is a colour's of the difference, as from `of_colour`, is most of what is drawn
    where it is strongest in a column; and not a share of something else, such as of grey."""
    strength = np.linalg.norm(own, axis=2)
    rows, columns = strength.argmax(axis=0), np.flatnonzero(strength.max(axis=0) > DRAWN)
    peaks = rows[columns], columns
    left = np.linalg.norm(difference[peaks] - own[peaks], axis=1)
    return bool(columns.size and np.median(left / strength[peaks]) <= _LEFT)


def of_colour(
    pixels: np.ndarray, difference: np.ndarray, colour: np.ndarray, is_stated: bool = False
) -> tuple[np.ndarray, np.ndarray]:
    """What of the difference from the background is this colour's, and no other's; and a mask of
    what is of a near colour: where this one is stated, that is another."""
    whole = colour - (pixels - difference)
    share, left = _mixed(difference, whole)
    size = np.linalg.norm(whole, axis=-1)
    is_other, is_near = left > _OTHER * size, np.zeros(left.shape, bool)
    own: np.ndarray = whole * share[..., None]
    strength = np.linalg.norm(difference, axis=2)
    if is_stated:
        # Grey holds some of every colour.
        is_other |= (strength > _DRAWN * size) & (left > _HUE * strength)
        is_near = ~is_other & (left > _nearest(share, left, is_other))
        is_other |= is_near
    near = ndimage.maximum_filter(np.where(is_other, strength, 0), 3)
    own[is_other | (near > strength)] = 0
    return own, is_near


def _nearest(share: np.ndarray, left: np.ndarray, is_other: np.ndarray) -> float:
    """How far from mixtures of a colour another one is at least: further than what is most of it in
    a column usually is, for JPEG moves colours of a thin line."""
    most = np.where(is_other, 0, share).argmax(axis=0)
    columns = np.flatnonzero(share.max(axis=0) > _LEAST)
    usual = float(np.median(left[most[columns], columns])) if columns.size else 0.0
    return max(ALIKE, 2 * usual)


def _mixed(difference: np.ndarray, whole: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """How much of the whole difference each pixel holds, 0 to 1, and how far it is from that."""
    size = np.maximum((whole**2).sum(axis=-1), 1.0)
    share = np.clip((difference * whole).sum(axis=-1) / size, 0, 1)
    left = np.linalg.norm(difference - share[..., None] * whole, axis=-1)
    return share, left
