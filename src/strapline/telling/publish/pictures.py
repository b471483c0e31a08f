"""A picture in every form that is published, and the words that go with it."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TypedDict

from strapline.ground.files import write_bytes, write_text
from strapline.ground.settings import Palette
from strapline.telling.charts.picture import Picture
from strapline.telling.drawings import render
from strapline.telling.drawings.drawings import is_for_video
from strapline.telling.drawings.frame import ACROSS, TALL, UPRIGHT, Frame, in_frame
from strapline.telling.drawings.palette import coloured
from strapline.telling.publish.tables import escaped


def frames_of(picture: str) -> tuple[Frame, Frame]:
    """The frames that a picture fills."""
    return ACROSS, TALL if is_for_video(picture) else UPRIGHT


class Words(TypedDict):
    """What stands under a picture, and what is read out in its place."""

    title: str
    caption: str
    alt: str
    sources: str
    credit: str


def write_pictures(
    folder: Path, pictures: Mapping[str, Picture], palette: Palette, credit: str
) -> None:
    """A PNG a frame, `<picture>-<width>x<height>.png`, and of the first frame an SVG that holds its
    letters and a Vega-Lite JSON that holds its data and its colours. What shows nothing is left
    out."""
    for name, picture in pictures.items():
        for frame in frames_of(name):
            drawing = in_frame(name, picture, frame, palette, credit)
            if drawing is None or picture.content is None:
                break
            size = f"{frame.width}x{frame.height}"
            write_bytes(folder / f"{name}-{size}.png", render.pixels(drawing))
            if frame == ACROSS:
                write_text(folder / f"{name}{render.DRAWING}", render.standing_alone(drawing))
                spec = render.whole(name, picture, picture.content, frame.size, coloured(palette))
                source = json.dumps(spec, ensure_ascii=False, separators=(",", ":"))
                write_text(folder / f"{name}.vl.json", f"{source}\n")


def _sentence(title: str) -> str:
    return title if title.endswith(("?", ".")) else f"{title}."


def _how_to_read(picture: Picture) -> list[str]:
    return [picture.content.subtitle] if picture.content else []


def words(pictures: Mapping[str, Picture], sources: str, credit: str) -> dict[str, Words]:
    """By picture: its title; its caption, which says how to read it; its alt text; the sources."""
    return {
        name: {
            "title": one.title,
            "caption": " ".join([_sentence(one.title), *_how_to_read(one), sources]),
            "alt": one.alt,
            "sources": sources,
            "credit": credit,
        }
        for name, one in pictures.items()
    }


def in_markdown(said: Mapping[str, Words]) -> str:
    """The same to be pasted: of each picture its file, what stands under it and what is read out
    in its place."""
    return "\n".join(
        f"## {escaped(name)}\n\n{escaped(own['caption'])}\n\n"
        f"Alternative text: {escaped(own['alt'])}\n"
        for name, own in said.items()
    )
