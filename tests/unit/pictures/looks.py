"""Curves of known truth, drawn by a general chart library as screens could show them."""

import io
from collections.abc import Callable
from dataclasses import dataclass

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch
from PIL import Image

LEFT_S, BOTTOM_BPM, TOP_BPM = 0.0, 60.0, 180.0
# Of the whole screen, in inches, at 100 pixels each; and of the plot, in pixels.
WIDTH, HEIGHT = 7.2, 4.0
PLOT = (72, 60, 612, 280)
ZONES = (104, 122, 140, 158)
ZONE_COLOURS = ("#8a93a0", "#3b82c4", "#3aa45a", "#e0902a", "#cc3b3b")


@dataclass(frozen=True)
class Look:
    """How a curve is drawn, and how the picture is then kept: `quality` as JPEG, and by how much it
    is scaled."""

    name: str
    draw: Callable[[Axes, np.ndarray, np.ndarray], None]
    dark: bool = False
    quality: int | None = None
    scale: float = 1.0
    form: str = "PNG"


def line(width: float, colour: str = "#c2334d", **how: object) -> Callable:
    return lambda axes, time, rate: axes.plot(time, rate, lw=width, color=colour, **how)


def framed_bare(draw: Callable) -> Callable:
    def bare(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
        axes.grid(False)
        draw(axes, time, rate)

    return bare


def filled(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.fill_between(time, rate, BOTTOM_BPM, fc="#e58a5b", ec="none")


def filled_with_line(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.fill_between(time, rate, BOTTOM_BPM, fc="#3f7fd0", alpha=0.3, ec="none")
    axes.plot(time, rate, lw=2, color="#3f7fd0")


def fading(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    shades = np.linspace(0, 0.7, 256)[:, None, None]
    colour = np.array([0.78, 0.2, 0.35])
    ramp = np.concatenate([np.broadcast_to(colour, (256, 1, 3)), shades], axis=2)
    image = axes.imshow(
        ramp, extent=(*axes.get_xlim(), BOTTOM_BPM, TOP_BPM), origin="lower", aspect="auto"
    )
    image.set_clip_path(
        axes.fill_between(time, rate, BOTTOM_BPM, alpha=0).get_paths()[0], axes.transData
    )
    axes.plot(time, rate, lw=1.6, color="#c2334d")


def by_zones(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    points = np.stack([time, rate], axis=1)
    pieces = np.stack([points[:-1], points[1:]], axis=1)
    zone = np.digitize((rate[1:] + rate[:-1]) / 2, ZONES)
    colours = [ZONE_COLOURS[z] for z in zone]
    axes.add_collection(LineCollection(pieces, colors=colours, linewidths=2, capstyle="round"))


def on_bands(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    bounds = (BOTTOM_BPM, *ZONES, TOP_BPM)
    for low, high, colour in zip(bounds, bounds[1:], ZONE_COLOURS, strict=False):
        axes.axhspan(low, high, fc=colour, alpha=0.18, ec="none")
    axes.plot(time, rate, lw=1.6, color="#202830")


def marked(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.plot(time, rate, lw=1.5, color="#7a4fb5", marker="o", ms=4, markevery=40)


def labelled(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.plot(time, rate, lw=1.8, color="#c2334d")
    axes.text(time[0] + 0.03 * np.ptp(time), 170, "Maximum 158", fontsize=9, color="#303840")


LOOKS = (
    Look("thin", line(0.8)),
    Look("usual", line(1.6)),
    Look("thick", line(4.0)),
    Look("in a frame without grid", framed_bare(line(1.6))),
    Look("filled", filled),
    Look("filled, with a line", filled_with_line),
    Look("fading to the bottom", fading),
    Look("coloured by zones", by_zones),
    Look("on bands of colour", on_bands),
    Look("with markers", marked),
    Look("with text", labelled),
    Look("dark", line(1.6, "#ff6f61"), dark=True),
    Look("dark and filled", filled_with_line, dark=True),
    Look("rounded corners", line(1.6)),
    Look("JPEG at quality 70", line(1.6), quality=70),
    Look("filled, JPEG at quality 70", filled, quality=70),
    Look("dark, JPEG at quality 70", line(1.6, "#ff6f61"), dark=True, quality=70),
    Look("WebP", line(1.6), form="WEBP", quality=80),
    Look("half as large", line(1.6), scale=0.5),
    Look("three times as large", line(1.6), scale=3.0),
    Look("scaled to 0.7 after", line(2.4), form="resized"),
)


def drawn(look: Look, time_s: np.ndarray, rate: np.ndarray) -> bytes:
    """The screen as a picture file; the plot's edges stand for the first and last time, and for
    BOTTOM_BPM and TOP_BPM. A gap in the curve is where the rate is NaN."""
    figure = Figure(figsize=(WIDTH, HEIGHT), dpi=100 * look.scale)
    canvas = FigureCanvasAgg(figure)
    paper, ink = ("#14181d", "#c9d1da") if look.dark else ("#ffffff", "#303840")
    figure.set_facecolor(paper)
    axes = figure.add_axes(on_pixels(look.scale))
    axes.set_facecolor(paper)
    axes.tick_params(colors=ink, labelsize=8)
    for spine in axes.spines.values():
        spine.set_color(ink)
        # Two pixels, for the library puts the middle of an odd number beside where it belongs.
        spine.set_linewidth(1.44 / look.scale)
    axes.set_axisbelow(True)
    axes.grid(True, color="#39414a" if look.dark else "#dde2e7", lw=0.8)
    axes.set_title("Heart rate", color=ink, fontsize=10)
    axes.set_xlim(time_s[0], time_s[-1])
    axes.set_ylim(BOTTOM_BPM, TOP_BPM)
    look.draw(axes, time_s, rate)
    axes.set_xlim(time_s[0], time_s[-1])
    axes.set_ylim(BOTTOM_BPM, TOP_BPM)
    if look.name == "rounded corners":
        rounded(figure, axes, ink)
    canvas.draw()
    picture = Image.fromarray(np.asarray(canvas.buffer_rgba())).convert("RGB")
    form = look.form
    if form == "resized":
        picture = picture.resize((round(picture.width * 0.7), round(picture.height * 0.7)))
        form = "PNG"
    if look.quality and form == "PNG":
        form = "JPEG"
    kept = io.BytesIO()
    picture.save(kept, form, **({"quality": look.quality} if look.quality else {}))
    return kept.getvalue()


def on_pixels(scale: float) -> tuple[float, ...]:
    """The plot as shares of the screen, from one pixel's edge to another's."""
    width, height = WIDTH * 100 * scale, HEIGHT * 100 * scale
    left, low, wide, high = (round(side * scale) for side in PLOT)
    return (left / width, low / height, wide / width, high / height)


def rounded(figure: Figure, axes: Axes, ink: str) -> None:
    for spine in axes.spines.values():
        spine.set_visible(False)
    box = axes.get_position()
    figure.add_artist(
        FancyBboxPatch(
            (box.x0, box.y0),
            box.width,
            box.height,
            boxstyle="round,pad=0,rounding_size=0.03",
            mutation_aspect=WIDTH / HEIGHT,
            fill=False,
            ec=ink,
            lw=1,
        )
    )


def invented(seconds: int = 1470, seed: int = 7) -> tuple[np.ndarray, np.ndarray]:
    """A warm-up, five efforts with recoveries, and a cool-down, once a second, in bpm."""
    time = np.arange(seconds + 1.0)
    target = np.interp(
        time / seconds,
        [0, 0.15, 0.25, 0.33, 0.41, 0.49, 0.57, 0.65, 0.73, 0.81, 0.88, 1],
        [74, 118, 152, 124, 158, 128, 163, 130, 167, 133, 168, 96],
    )
    noise = np.random.default_rng(seed).normal(0, 0.35, time.size)
    wander = np.zeros(time.size)
    for place in range(1, time.size):
        wander[place] = 0.97 * wander[place - 1] + noise[place]
    return time, np.round(target + wander)


matplotlib.rcParams["path.simplify"] = False
