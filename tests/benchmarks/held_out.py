"""Looks and curves that no threshold of the reader was set by: they judge it, and are not looked at
while it is changed."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import FancyBboxPatch, Rectangle

from unit.pictures.looks import Look

# Lengths in s and seeds of invented sessions.
SESSIONS = ((1200, 41), (2100, 59), (2700, 83))
# Parts of real recordings, in s, where a folder of them is given: by its own path there.
STRETCHES = {
    "fit/developer_fields.fit": (300, 1500),
    "fit/indoor_ride.fit": (900, 2400),
    "fit/run.fit": (600, 2100),
}


def usual(axes: Axes, time: np.ndarray, rate: np.ndarray, colour: str = "#8a3ffc") -> None:
    axes.plot(time, rate, lw=1.7, color=colour)


def bare(axes: Axes) -> None:
    axes.grid(False)
    axes.tick_params(length=0)
    for spine in axes.spines.values():
        spine.set_visible(False)


def around(axes: Axes, left: float, low: float, wide: float, high: float, **how: object) -> None:
    """A box on the screen, in shares of it, behind the plot."""
    axes.figure.patches.append(
        Rectangle((left, low), wide, high, transform=axes.figure.transFigure, zorder=-1, **how)
    )


def unframed(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    bare(axes)
    usual(axes, time, rate)


def left_axis(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    bare(axes)
    axes.spines["left"].set_visible(True)
    usual(axes, time, rate)


def dotted_grid(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.grid(True, color="#9aa5b1", lw=1, ls=":")
    usual(axes, time, rate, "#0f62fe")


def rounded_card(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    bare(axes)
    axes.yaxis.grid(True, color="#e3e6ea", lw=0.8)
    axes.figure.set_facecolor("#eceff3")
    axes.figure.patches.append(
        FancyBboxPatch(
            (0.03, 0.04),
            0.94,
            0.92,
            boxstyle="round,pad=0,rounding_size=0.04",
            transform=axes.figure.transFigure,
            fc="white",
            ec="none",
            zorder=-1,
        )
    )
    usual(axes, time, rate, "#da1e28")


def header_bar(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    around(axes, 0, 0.9, 1, 0.1, fc="#27476e")
    around(axes, 0, 0, 1, 0.06, fc="#27476e")
    usual(axes, time, rate, "#007d79")


def header_over_bare(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    bare(axes)
    header_bar(axes, time, rate)


def with_legend(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.plot(time, rate, lw=1.7, color="#a2191f", label="Heart rate over the whole session")
    axes.legend(loc="lower center", fontsize=9)


def status_bar(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    figure = axes.figure
    figure.text(0.02, 0.95, "18:05", fontsize=9)
    for place in (0.9, 0.93, 0.96):
        around(axes, place, 0.95, 0.02, 0.03, fc="#303840")
    axes.set_facecolor("#f3f6fa")
    for spine in axes.spines.values():
        spine.set_visible(False)
    usual(axes, time, rate, "#005d5d")


def framed_in_a_card(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    around(axes, 0.02, 0.03, 0.96, 0.94, fc="none", ec="#8d99a6", lw=1)
    usual(axes, time, rate, "#9f1853")


def from_later(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.grid(False)
    late = np.where(time < time[0] + 0.1 * np.ptp(time), np.nan, rate)
    usual(axes, time, late, "#b28600")


def thick_frame(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    for spine in axes.spines.values():
        spine.set_linewidth(5.76)
    usual(axes, time, rate, "#6929c4")


def labels_inside(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    bare(axes)
    axes.grid(True, color="#d0d7de", lw=0.8)
    axes.tick_params(axis="y", direction="in", pad=-26)
    usual(axes, time, rate, "#d02670")


def two_plots(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    """A smaller picture of the pace below in the same card."""
    around(axes, 0.1, 0.02, 0.85, 0.08, fc="#dfe7ef", ec="#303840", lw=1)
    usual(axes, time, rate, "#33691e")


LOOKS = (
    Look("no frame at all", unframed),
    Look("with the left axis alone", left_axis),
    Look("with a dotted grid", dotted_grid),
    Look("a rounded card with room inside", rounded_card),
    Look("bars above and below", header_bar),
    Look("bars above and below, no frame", header_over_bare),
    Look("with a legend inside", with_legend),
    Look("a status bar, a tinted plot with a grid", status_bar),
    Look("a frame in a card", framed_in_a_card),
    Look("a frame, the curve from later on", from_later),
    Look("a frame of 8 pixels", thick_frame),
    Look("labels inside, a grid alone", labels_inside),
    Look("a second, flat plot below", two_plots),
    Look("0.66 times as large", usual, scale=0.66),
    Look("JPEG at quality 60", usual, quality=60),
    Look("dark, in a card, JPEG at quality 60", framed_in_a_card, dark=True, quality=60),
)
