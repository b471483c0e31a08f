"""Theme: the palette -> the one file of the report that holds the colours of pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.files import write_text
from strapline.telling.report.looks import themed

if TYPE_CHECKING:
    from strapline.ground.settings import Palette


def run(*, script: str, palette: Palette) -> None:
    """`script`: the file, for every page."""
    write_text(script, themed(palette))
