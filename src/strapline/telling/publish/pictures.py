"""A chart in every form that is published, and the words that go with it."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypedDict

from strapline.ground.files import write_bytes, write_text
from strapline.telling.charts import render, theme
from strapline.telling.charts.specification import SOURCE, Specification
from strapline.telling.publish.tables import escaped


class Words(TypedDict):
    """What stands under a picture, and what is read out in its place."""

    title: str
    caption: str
    alt: str
    sources: str
    credit: str


def write_pictures(
    folder: Path,
    charts: Mapping[theme.Frame, Mapping[str, Specification]],
    coloured: dict[str, Any],
) -> None:
    """A PNG a frame, `<chart>-<width>x<height>.png`, and of the wide frame an SVG that holds its
    letters and a Vega-Lite JSON that holds its data and its colours."""
    for frame, drawn in charts.items():
        for name, chart in drawn.items():
            drawing = render.drawn(chart, coloured, exact=True)
            size = f"{frame.width}x{frame.height}"
            write_bytes(folder / f"{name}-{size}.png", render.pixels(drawing))
            if frame == theme.WIDE:
                write_text(folder / f"{name}{render.DRAWING}", render.standing_alone(drawing))
                whole = replace(chart, spec=chart.spec | coloured)
                write_text(folder / f"{name}{SOURCE}", whole.source)


def _sentence(title: str) -> str:
    return title if title.endswith(("?", ".")) else f"{title}."


def words(charts: Mapping[str, Specification], sources: str, credit: str) -> dict[str, Words]:
    """By chart: its title; its caption, which says how to read it; its alt text; the sources."""
    return {
        name: {
            "title": chart.title,
            "caption": " ".join([_sentence(chart.title), *chart.subtitle, sources]),
            "alt": chart.alt,
            "sources": sources,
            "credit": credit,
        }
        for name, chart in charts.items()
    }


def in_markdown(said: Mapping[str, Words]) -> str:
    """The same to be pasted: of each picture its file, what stands under it and what is read out
    in its place."""
    return "\n".join(
        f"## {escaped(name)}\n\n{escaped(own['caption'])}\n\n"
        f"Alternative text: {escaped(own['alt'])}\n"
        for name, own in said.items()
    )
