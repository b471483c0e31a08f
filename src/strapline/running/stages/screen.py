"""Screen: a screenshot that a recording was read from -> what was read of it, drawn over it, for
the tester's own record."""

from __future__ import annotations

from strapline.ground.files import write_bytes
from strapline.ground.records.picture import Picture
from strapline.reading.formats import UnreadableExport, content_of
from strapline.reading.formats.export import Hints
from strapline.reading.pictures.curve import curve_in
from strapline.reading.pictures.overlay import overlay
from strapline.reading.pictures.pixels import pixels_of
from strapline.reading.pictures.unreadable import UnreadablePicture


def run(*, export: str, content: str, screen: str, hints: str) -> None:
    """`screen` is empty where no curve can be read; `content` and `hints`: see `parse`."""
    edges = Hints.model_validate_json(hints).picture
    write_bytes(screen, _seen(export, edges) if edges else b"")


def _seen(export: str, edges: Picture) -> bytes:
    try:
        pixels = pixels_of(content_of(export))
        return overlay(pixels, curve_in(pixels, edges.area, edges.red_green_blue))
    except (UnreadableExport, UnreadablePicture):
        return b""
