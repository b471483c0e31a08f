"""What is published of one session or device, written into a folder of its own."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

import pandas as pd

from strapline.ground.files import write_text
from strapline.ground.settings import Palette, Publish
from strapline.telling.charts.chart import Chart, Tables, pictures_of
from strapline.telling.charts.picture import Picture
from strapline.telling.publish.pictures import in_markdown, words, write_pictures
from strapline.telling.publish.tables import csv
from strapline.telling.publish.text import Text


def asked_for(
    charts: Sequence[Chart[Tables]], tables: Tables, bench: Sequence[str], asked: Publish
) -> dict[str, Picture]:
    """Those of the charts that are published and `asked` for."""
    own = [chart for chart in charts if chart.published and is_asked(chart.name, asked)]
    return pictures_of(own, tables, bench)


def is_asked(picture: str, asked: Publish) -> bool:
    return not asked.pictures or picture in asked.pictures


def write_folder(
    folder: Path,
    pictures: Mapping[str, Picture],
    rows: pd.DataFrame,
    markdown: str,
    text: Text,
    credit: str,
    palette: Palette,
) -> None:
    """Pictures, if there are any, and their `words.json` and `.md`; `text.txt` and `.md`,
    `figures.csv` and `.md`, and `sources.txt`."""
    sources = text.sources
    folder.mkdir(parents=True, exist_ok=True)
    write_pictures(folder, pictures, palette, credit)
    said = words(pictures, sources, credit)
    if said:
        write_text(folder / "words.json", json.dumps(said, ensure_ascii=False, indent=1) + "\n")
        write_text(folder / "words.md", in_markdown(said))
    write_text(folder / "text.txt", text.plain)
    write_text(folder / "text.md", text.markdown)
    write_text(folder / "figures.csv", csv(rows))
    write_text(folder / "figures.md", f"{markdown}\n{sources}\n")
    write_text(folder / "sources.txt", f"{sources}\n")
