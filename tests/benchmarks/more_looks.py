"""Looks that were once held out, and that edges of plots have been looked at in since."""

import numpy as np
from matplotlib import patheffects
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection

from unit.pictures.looks import BOTTOM_BPM, TOP_BPM, ZONE_COLOURS, ZONES, Look

# Lengths in s and seeds of invented sessions.
SESSIONS = ((1000, 11), (1800, 23), (2400, 37))
# Parts of real recordings, in s, where a folder of them is given: by its own path there.
STRETCHES = {
    "fit/developer_fields.fit": (600, 2100),
    "fit/indoor_ride.fit": (300, 1800),
    "fit/run.fit": (900, 2500),
}


def stepped(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.plot(time, rate, lw=1.5, color="#2a6f97", drawstyle="steps-mid")


def glowing(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    (line,) = axes.plot(time, rate, lw=1.8, color="#ffb000")
    line.set_path_effects([patheffects.Stroke(linewidth=6, alpha=0.15), patheffects.Normal()])


def with_an_average(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.plot(time, rate, lw=1.8, color="#3c8d5a")
    axes.axhline(np.nanmean(rate), color="#b56576", lw=1, ls="--")


def only_the_bottom(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.grid(False)
    axes.yaxis.grid(True, color="#e8e8e8", lw=0.8)
    for side in ("left", "right", "top"):
        axes.spines[side].set_visible(False)
    axes.plot(time, rate, lw=2, color="#d1495b")


def on_grey(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.set_facecolor("#eef1f4")
    axes.plot(time, rate, lw=1.4, color="#30638e")


def dashed_grid(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.grid(True, color="#5b6570", lw=0.8, ls=(0, (4, 4)))
    axes.plot(time, rate, lw=2.4, color="#ff9f1c")


def bars(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    colours = [ZONE_COLOURS[zone] for zone in np.digitize(rate, ZONES)]
    width = np.median(np.diff(time))
    axes.bar(time, rate - BOTTOM_BPM, width, BOTTOM_BPM, color=colours, ec="none")


def zones_in_the_dark(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    points = np.stack([time, rate], axis=1)
    pieces = np.stack([points[:-1], points[1:]], axis=1)
    zone = np.digitize((rate[1:] + rate[:-1]) / 2, ZONES)
    axes.add_collection(
        LineCollection(pieces, colors=[ZONE_COLOURS[z] for z in zone], linewidths=2.5)
    )


def deep_area(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.fill_between(time, rate, BOTTOM_BPM, fc="#5b3f8c", ec="none")
    axes.axhspan(BOTTOM_BPM, TOP_BPM, fc="#5b3f8c", alpha=0.06, ec="none", zorder=0)


def usual(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.plot(time, rate, lw=1.7, color="#1b998b")


def unframed(axes: Axes) -> None:
    axes.grid(False)
    axes.tick_params(length=0)
    for spine in axes.spines.values():
        spine.set_visible(False)


def target_zone(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    unframed(axes)
    axes.axhspan(85, 165, fc="#d9f2e0", ec="none")
    usual(axes, time, rate)


def tinted_panel(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    unframed(axes)
    axes.set_facecolor("#e8f0fb")
    usual(axes, time, rate)


LOOKS = (
    Look("in steps", stepped),
    Look("glowing in the dark", glowing, dark=True),
    Look("with a line at the average", with_an_average),
    Look("with the bottom axis alone", only_the_bottom),
    Look("on grey", on_grey),
    Look("dark, with a dashed grid", dashed_grid, dark=True),
    Look("bars coloured by zones", bars),
    Look("dark, coloured by zones", zones_in_the_dark, dark=True),
    Look("a deep area", deep_area),
    Look("0.6 times as large", usual, scale=0.6),
    Look("twice as large, JPEG at quality 70", usual, scale=2.0, quality=70),
    Look("scaled to 0.7 after, on grey", on_grey, form="resized"),
    Look("a tinted plot without lines", tinted_panel),
    Look("a target zone, no frame", target_zone),
)
