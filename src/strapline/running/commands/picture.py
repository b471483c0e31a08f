"""Find the curve in a screenshot of an app, and say what to write of it in the card.

The picture that is written, into results/pictures, has the curve and the plot's edges over the
screenshot, or, where the edges are not certain, where they may be.
"""

import argparse
import json
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from strapline.ground.documents import DocumentError
from strapline.ground.files import write_bytes
from strapline.ground.records.card import FILE_NAME
from strapline.ground.records.picture import TO_FILL_IN, Picture
from strapline.ground.words import plain
from strapline.reading.formats import UnreadableExport, content_of
from strapline.reading.formats.picture import MANY, cautions, not_read, resolution, taken
from strapline.reading.pictures.curve import Curve, colour_in, curve_in
from strapline.reading.pictures.lines import Box
from strapline.reading.pictures.overlay import numbered, overlay
from strapline.reading.pictures.pixels import pixels_of
from strapline.reading.pictures.unreadable import UncertainPlot, UnreadablePicture
from strapline.running.commands import bench
from strapline.running.lines import say

FOLDER, ENDING = "pictures", ".found.png"


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", help="a PNG, JPEG or WebP picture of a screen")
    parser.add_argument(
        "--area",
        nargs=4,
        type=float,
        metavar=("LEFT", "TOP", "RIGHT", "BOTTOM"),
        help="where the plot is, if it is not found: in pixels, counted from 0 at the middle of "
        "the first (a line that fills rows 659 and 660 is at 659.5)",
    )
    parser.add_argument("--colour", help="the curve's, if others are near, such as '#c2334d'")
    bench.describe(parser, bench.RESULTS)


def run(options: argparse.Namespace) -> int:
    path = Path(options.file)
    stated = _stated(options)
    found = bench.read(options).results / FOLDER / f"{path.stem}{ENDING}"
    try:
        pixels = pixels_of(content_of(path))
        curve = curve_in(pixels, stated.area, stated.red_green_blue)
    except UncertainPlot as uncertain:
        _write(found, numbered(pixels, uncertain.boxes))
        _say_where(uncertain.boxes, path, found, stated.colour)
        return 1
    except (UnreadableExport, UnreadablePicture) as reason:
        raise DocumentError(f"{plain(path.name)}: {reason}") from None
    _write(found, overlay(pixels, curve))
    if not stated.area:
        say([taken(curve.plot)])
    fine = resolution(curve, stated)
    print(f"A curve was found in {fine.read} of {fine.columns} columns.")
    for why in not_read(fine):
        print(f"  {why}")
    for caution in cautions(curve):
        print(caution)
    if fine.doubtful + fine.unexplained > MANY * fine.columns and stated.colour is None:
        _say_colour(pixels, curve, stated)
    print(f"See {plain(str(found))}: the blue frame is the plot, the black line what was read.")
    print(f"If both fit, write beside the file in {FILE_NAME}, with what the frame's edges stand")
    print('for: times such as "24:30", or "1:24:00" for an hour and 24 minutes, and bpm.')
    print()
    _say_lines(path, [curve.plot], stated.colour)
    return 0


def _write(path: Path, picture: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    write_bytes(path, picture)


def _say_where(boxes: Sequence[Box], path: Path, found: Path, colour: str | None) -> None:
    print(f"It is not certain where the plot's edges are in {plain(path.name)}; nothing is read.")
    print(f"See {plain(str(found))}: the rulers at its sides count the screenshot's pixels. Read")
    print("off where the values lie that you give as left, right, bottom and top, and try again")
    print("with --area LEFT TOP RIGHT BOTTOM. Pixels are counted from 0, by their middle.")
    if boxes:
        frame = "Each blue frame, with its number," if len(boxes) > 1 else "The blue frame"
        choice = ", with the line of the right frame" if len(boxes) > 1 else ""
        said = (
            f"{frame} follows what is drawn: a frame, two axes, the first and the last of some "
            f"evenly spaced lines, or the edge of a colour. If it is the plot's, correct it to "
            f"the pixel. Then write "
            f"beside the file in {FILE_NAME}{choice}:"
        )
        say([said])
        print()
        _say_lines(path, boxes, colour)


def _say_lines(path: Path, boxes: Sequence[Box], colour: str | None) -> None:
    print(f"  - file: {json.dumps(path.name, ensure_ascii=False)}")
    print("    device: its-name")
    for number, box in enumerate(boxes, 1):
        which = f" # {number}" if len(boxes) > 1 else ""
        print(f"    picture: {{{_edges(box, colour)}}}{which}")
    print("    clock: {starts_at: YYYY-MM-DD HH:MM:SS}")


def _say_colour(pixels: np.ndarray, curve: Curve, stated: Picture) -> None:
    """That more is read with the curve's colour, where it is."""
    plot = curve.plot
    colour = colour_in(pixels, plot)
    try:
        by_colour = curve_in(pixels, (plot.x0, plot.y0, plot.x1, plot.y1), colour)
    except UnreadablePicture:
        return
    read = resolution(by_colour, stated).read
    if colour and read > resolution(curve, stated).read:
        written = "#{:02x}{:02x}{:02x}".format(*colour)
        print(f"With --colour '{written}' {read} columns are read.")


def _stated(options: argparse.Namespace) -> Picture:
    try:
        coloured = Picture(left=0, right=1470, bottom=60, top=180, colour=options.colour)
    except ValueError:
        raise DocumentError("--colour takes six digits, such as '#c2334d'.") from None
    try:
        stated = {**coloured.model_dump(), "area": options.area and tuple(options.area)}
        return Picture.model_validate(stated)
    except ValueError:
        raise DocumentError(
            "--area takes left, top, right and bottom in pixels from the picture's upper left, "
            "such as 72 60 684 340: right is more than left, and bottom more than top."
        ) from None


def _edges(plot: Box, colour: str | None) -> str:
    area = [round(edge, 1) for edge in (plot.x0, plot.y0, plot.x1, plot.y1)]
    also = f', colour: "{colour}"' if colour else ""
    return f"{TO_FILL_IN}, area: {area}{also}"
