"""What is no picture of one curve is answered in a sentence."""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from strapline.reading.pictures.curve import curve_in
from strapline.reading.pictures.pixels import MOST_PIXELS, pixels_of
from strapline.reading.pictures.unreadable import UnreadablePicture
from unit.pictures.looks import LOOKS, Look, drawn, invented

TIME_S, RATE = invented()
USUAL = LOOKS[1]


def kept(picture: Image.Image, form: str = "PNG", **how: object) -> bytes:
    content = io.BytesIO()
    picture.save(content, form, **how)
    return content.getvalue()


def as_picture() -> Image.Image:
    return Image.open(io.BytesIO(drawn(USUAL, TIME_S, RATE)))


def bomb() -> bytes:
    """A PNG of few bytes that states 60,000 by 60,000 pixels (ISO/IEC 15948, chunks)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        checked = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + checked

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    rows = zlib.compress(bytes(1000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def two_curves(axes, time_s, rate) -> None:
    axes.plot(time_s, rate, lw=1.6, color="#c2334d")
    axes.plot(time_s, rate[::-1] - 10, lw=1.6, color="#3060c0")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"no picture at all", "no PNG, JPEG or WebP"),
        (kept(Image.new("RGB", (100, 100)), "BMP"), "no PNG, JPEG or WebP"),
        (bomb(), "million pixels"),
        (kept(Image.new("L", (MOST_PIXELS // 1000 + 1, 1000))), "million pixels"),
        (kept(Image.new("RGB", (30, 200))), "too small"),
        (drawn(USUAL, TIME_S, RATE)[:4000], "damaged or cut off"),
        (kept(Image.fromarray(np.zeros((100, 100), np.uint16))), "more than 8 bits"),
        (
            kept(
                Image.new("RGB", (100, 100)),
                "WEBP",
                save_all=True,
                append_images=[Image.new("RGB", (100, 100), "red")],
            ),
            "moves",
        ),
    ],
    ids=["text", "bmp", "bomb", "large", "small", "cut", "16 bits", "animated"],
)
def test_no_screenshot_is_told(content: bytes, said: str) -> None:
    with pytest.raises(UnreadablePicture, match=said):
        pixels_of(content)


@pytest.mark.parametrize("mode", ["P", "RGBA", "L", "LA", "CMYK"])
def test_other_ways_to_keep_colours_are_read(mode: str) -> None:
    form = "JPEG" if mode == "CMYK" else "PNG"
    curve = curve_in(pixels_of(kept(as_picture().convert(mode), form)))
    assert np.isfinite(curve.rows).mean() > 0.95


def test_what_is_see_through_stands_on_white() -> None:
    clear = Image.new("RGBA", (80, 80), (255, 0, 0, 0))
    assert (pixels_of(kept(clear)) == 255).all()


def test_no_plot_no_curve_and_two_curves_are_told() -> None:
    with pytest.raises(UnreadablePicture, match="No plot was found"):
        curve_in(np.full((300, 500, 3), 255, np.uint8))
    empty = drawn(Look("empty", lambda axes, time_s, rate: None), TIME_S, RATE)
    with pytest.raises(UnreadablePicture, match="No curve was found"):
        curve_in(pixels_of(empty))
    both = pixels_of(drawn(Look("two", two_curves), TIME_S, RATE))
    with pytest.raises(UnreadablePicture, match="Two curves"):
        curve_in(both)
    curve = curve_in(both, colour=(0xC2, 0x33, 0x4D))
    alone = curve_in(pixels_of(drawn(USUAL, TIME_S, RATE)))
    same = np.abs(curve.rows - alone.rows) < 1
    assert same.mean() > 0.9


def test_what_is_drawn_on_everywhere_is_no_plot() -> None:
    specks = np.random.default_rng(0).integers(0, 255, (300, 500, 3), dtype=np.uint8)
    with pytest.raises(UnreadablePicture):
        curve_in(specks)
    with pytest.raises(UnreadablePicture, match="No curve was found"):
        curve_in(specks, (10, 10, 490, 290))


def test_an_area_beyond_the_picture_is_told() -> None:
    with pytest.raises(UnreadablePicture, match="720 by 400"):
        curve_in(pixels_of(drawn(USUAL, TIME_S, RATE)), (0, 0, 800, 300))


def test_edges_that_go_both_ways_are_no_line() -> None:
    """Such as a lossy picture has beside a line: half of a row is lighter than the next, half
    darker."""
    pixels = np.full((240, 480, 3), 200, dtype=np.uint8)
    pixels[:100, ::2] = 255
    pixels[100:, 1::2] = 255
    with pytest.raises(UnreadablePicture):
        curve_in(pixels)


def test_a_colour_that_nothing_has_is_not_read_out_of_another() -> None:
    """Grey holds some of every colour."""
    time_s, rate = invented()

    def beside_grey(axes, time, shown) -> None:
        axes.plot(time, shown, lw=1.6, color="#1f6f50")
        axes.plot(time, 90 + 20 * np.sin(time / 200), lw=1.6, color="#b8bec8")

    pixels = pixels_of(drawn(Look("beside grey", beside_grey), time_s, rate))
    with pytest.raises(UnreadablePicture, match=r"is of the colour under picture\.colour"):
        curve_in(pixels, (71.5, 59.5, 683.5, 339.5), (0x00, 0xFF, 0x00))
