"""A frame to be published: a picture under its title, with the credit at its foot."""

import re
from dataclasses import dataclass
from xml.sax.saxutils import escape

from strapline.ground.settings import Palette
from strapline.telling.charts import letters
from strapline.telling.charts.font import FONT
from strapline.telling.charts.picture import Picture
from strapline.telling.drawings import size as sizes
from strapline.telling.drawings.palette import coloured
from strapline.telling.drawings.render import drawn, whole

_MARGIN = 40
# A title that would be cut is smaller.
_TITLES, _SUBTITLE, _CREDIT = (46, 40, 34), 30, 26
_LINE = 1.2
_ROOT = re.compile(r'<svg [^>]*?viewBox="([^"]*)"[^>]*>')


@dataclass(frozen=True)
class Frame:
    """The pixels a picture fills."""

    width: int
    height: int

    @property
    def size(self) -> sizes.Size:
        """That of the drawing in it."""
        return sizes.UPRIGHT if self.height > self.width else sizes.WIDE

    @property
    def inner(self) -> int:
        """Width between the margins."""
        return self.width - 2 * _MARGIN


ACROSS = Frame(1920, 1080)
UPRIGHT = Frame(1080, 1350)
# A phone's whole screen, for what is shown in a video.
TALL = Frame(1080, 1920)


def in_frame(
    name: str, picture: Picture, frame: Frame, palette: Palette, credit: str
) -> str | None:
    """The picture as SVG; None where it shows nothing. Titles and margins are at the same pixels
    in every frame of a kind."""
    if picture.content is None:
        return None
    spec = whole(name, picture, picture.content, frame.size, coloured(palette))
    drawing = drawn(spec)
    titles, large = _in_lines(picture.title, frame)
    subtitles = letters.broken(picture.content.subtitle, frame.inner, _SUBTITLE)
    down = float(_MARGIN)
    words = []
    for lines, size, weight in ((titles, large, 600), (subtitles, _SUBTITLE, 400)):
        for line in lines:
            down += _LINE * size
            words.append(_text(line, _MARGIN, down - 0.25 * size, size, weight, palette.ink))
        down += 10
    foot = frame.height - _MARGIN
    said = letters.fitted(credit, frame.inner, _CREDIT)
    end = frame.width - _MARGIN
    words.append(_text(said, end, foot, _CREDIT, 400, palette.ink, "end"))
    top, bottom = down + 20, foot - 1.6 * _CREDIT
    place = f'x="{_MARGIN}" y="{top:g}" width="{frame.inner}" height="{bottom - top:g}"'
    look = 'preserveAspectRatio="xMidYMin meet" fill="none" stroke-miterlimit="10"'
    inside = _ROOT.sub(lambda root: f'<svg {place} {look} viewBox="{root[1]}">', drawing, count=1)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{frame.width}" height="{frame.height}" '
        f'viewBox="0 0 {frame.width} {frame.height}" font-family="{FONT}">'
        f"<title>{escape(picture.title)}</title><desc>{escape(picture.alt)}</desc>"
        f'<rect width="{frame.width}" height="{frame.height}" fill="{palette.paper}"/>'
        f"{''.join(words)}{inside}</svg>"
    )


def _in_lines(title: str, frame: Frame) -> tuple[list[str], int]:
    """In as many lines as it may have, and the size of its letters."""
    most = 4 if frame.height > frame.width else 3
    for size in _TITLES:
        lines = letters.broken(title, frame.inner, size, bold=True)
        if len(lines) <= most:
            break
    return letters.broken(title, frame.inner, size, bold=True, most=most), size


def _text(
    said: str, x: float, y: float, size: int, weight: int, ink: str, anchor: str = "start"
) -> str:
    look = f'font-size="{size}px" font-weight="{weight}" fill="{ink}" text-anchor="{anchor}"'
    return f'<text transform="translate({x:g},{y:g})" {look}>{escape(said)}</text>'
