"""A screenshot of an app, with the curve of a heart rate in it."""

import math
from collections.abc import Iterator
from typing import BinaryIO

import numpy as np
from scipy import ndimage

from strapline.ground.records.picture import TO_FILL_IN, Picture, Resolution
from strapline.ground.vocabulary import FileClock
from strapline.ground.words import in_figures, listed, share
from strapline.reading.formats import columns
from strapline.reading.formats.export import Export, Hints, UndecidedExport, UnreadableExport
from strapline.reading.formats.headings import Headings
from strapline.reading.pictures.curve import Curve, curve_in
from strapline.reading.pictures.lines import Box
from strapline.reading.pictures.pixels import is_picture, pixels_of
from strapline.reading.pictures.unreadable import UnreadablePicture

FORMAT = "picture"

# More columns than this share are many.
MANY = 0.02
# Most of those that were not read are beside values as low as this quantile of the rows.
_MOST, _LOW = 0.8, 0.75
# What is so near the highest value, or so far beyond it, by the plot's height, may be higher.
_BEYOND = 0.015
# A column in which the curve moves by more is steep.
_STEEP_BPM = 5.0


def recognises(file: BinaryIO, _words: Headings) -> bool:
    return is_picture(file)


def read(file: BinaryIO, _words: Headings, hints: Hints) -> Export:
    """One value a column of the plot, missing where no curve was read.

    Raises UndecidedExport where the card does not say what the plot's edges stand for, and
    UnreadableExport, with a sentence, where no curve can be read.
    """
    if hints.picture is None:
        raise UndecidedExport(
            "It is a picture, and the card does not say, in a form that can be used, what the "
            "edges of the plot stand for. Write beside its file, or correct: "
            f"picture: {{{TO_FILL_IN}}}."
        )
    file.seek(0)
    edges = hints.picture
    try:
        curve = curve_in(pixels_of(file.read()), edges.area, edges.red_green_blue)
    except UnreadablePicture as reason:
        raise UnreadableExport(str(reason)) from None
    elapsed_s, rates = readings(curve, edges)
    found = resolution(curve, edges)
    return Export(
        format=FORMAT,
        clock=FileClock.ELAPSED,
        samples=columns.samples(rates, elapsed_s=elapsed_s),
        resolution=found,
        remarks=(
            _told(found),
            *cautions(curve),
            *_steep(curve, found),
            *(() if edges.area else (taken(curve.plot),)),
        ),
    )


def readings(curve: Curve, edges: Picture) -> tuple[np.ndarray, np.ndarray]:
    """Seconds and heart rates in bpm, shape (n,) each; the first second is that of the plot's left
    edge, by which the recording's clock is set."""
    column_s, pixel_bpm = _scale(curve, edges)
    elapsed_s = edges.left + (curve.columns - curve.plot.x0) * column_s
    rates = edges.top - (curve.rows - curve.plot.y0) * pixel_bpm
    return np.insert(elapsed_s, 0, edges.left), np.insert(rates, 0, math.nan)


def resolution(curve: Curve, edges: Picture) -> Resolution:
    column_s, pixel_bpm = _scale(curve, edges)
    doubtful, unexplained = int(curve.is_double.sum()), int(curve.is_unsure.sum())
    return Resolution(
        column_s=column_s,
        pixel_bpm=pixel_bpm,
        columns=curve.columns.size,
        empty=int(np.isnan(curve.rows).sum()) - doubtful - unexplained,
        doubtful=doubtful,
        unexplained=unexplained,
    )


def _scale(curve: Curve, edges: Picture) -> tuple[float, float]:
    seconds, rates = edges.right - edges.left, edges.top - edges.bottom
    return seconds / curve.plot.width, rates / curve.plot.height


def taken(plot: Box) -> str:
    """What was taken as the plot where no area is stated."""
    edges = [round(edge, 1) for edge in (plot.x0, plot.y0, plot.x1, plot.y1)]
    return (
        f"Taken as the plot: its frame, {edges} in pixels. If the frame’s edges do not stand for "
        f"what you say, give picture.area."
    )


def not_read(found: Resolution) -> list[str]:
    """How many columns were not read, and why; empty where all were."""
    return [
        f"{in_figures(count, 'column')} {why}"
        for count, why in (
            (found.empty, "without a curve"),
            (found.doubtful, "left out because two candidates remained"),
            (
                found.unexplained,
                "left out because something else is drawn there, such as a marker, a label or "
                "dashes, or the line goes up and down within its own width, or beyond the plot",
            ),
        )
        if count
    ]


def cautions(curve: Curve) -> Iterator[str]:
    """What may be wrong for what was not read: the average, the highest value or the lowest."""
    missing = np.isnan(curve.rows)
    if missing.all():
        return
    stretches, _ = ndimage.label(missing)
    beside, lengths = [], []
    for (own,) in ndimage.find_objects(stretches):
        beside.append(np.nanmean(curve.rows[max(own.start - 1, 0) : own.stop + 1]))
        lengths.append(own.stop - own.start)
    low = np.nanquantile(curve.rows, _LOW)
    of_low = sum(length for row, length in zip(beside, lengths, strict=True) if row >= low)
    if missing.mean() > MANY and of_low > _MOST * missing.sum():
        yield (
            "Most of what was not read lies beside the lowest values: if the curve goes on there, "
            "its average is lower than that of the rest."
        )
    within = np.flatnonzero(~missing)
    before = np.flatnonzero(np.diff(within) > 1)
    # Where the curve had not begun, or was over, nothing is missing.
    aside = curve.is_double | curve.is_unsure
    sides = ((0, aside[: within[0]]), (-1, aside[within[-1] :]))
    ends = [end for end, outside in sides if outside.any()]
    at_gaps = curve.rows[within[np.concatenate([before, before + 1, ends]).astype(int)]]
    beyond = _BEYOND * curve.plot.height
    highest = min([curve.left_out[0], *(at_gaps - 2 * beyond)]) - np.nanmin(curve.rows)
    if highest < -beyond:
        yield "Beside or above the highest value something was not read: the curve may go higher."
    lowest = max([curve.left_out[1], *(at_gaps + 2 * beyond)]) - np.nanmax(curve.rows)
    if lowest > beyond:
        yield "Beside or below the lowest value something was not read: the curve may go lower."


def _steep(curve: Curve, found: Resolution) -> Iterator[str]:
    rises = np.abs(curve.rows[2:] - curve.rows[:-2]) / 2 * found.pixel_bpm
    steep = float((rises > _STEEP_BPM).mean())
    if steep > MANY:
        yield (
            f"In {share(steep)} of its columns the curve moves by more than {_STEEP_BPM:g} bpm, so "
            "that a value there is no finer."
        )


def _told(found: Resolution) -> str:
    left_out = not_read(found)
    return (
        f"It was read from a picture: one value every {_two_digits(found.column_s)} s, and "
        f"{_two_digits(found.pixel_bpm)} bpm a pixel; {in_figures(found.columns, 'column')}"
        f"{', ' if left_out else ''}{listed(left_out)}. Nothing shorter than three columns, "
        f"{_two_digits(found.shortest_fault_s)} s, is looked for as a fault."
    )


def _two_digits(value: float) -> str:
    """'1.8', '110'."""
    return f"{float(f'{value:.2g}'):g}"
