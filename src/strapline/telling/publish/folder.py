"""What is published of one session or device, written into a folder of its own."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

import pandas as pd

from strapline.ground.files import write_text
from strapline.ground.settings import Palette
from strapline.telling.charts import theme
from strapline.telling.charts.chart import Chart, Tables, drawn_of
from strapline.telling.charts.palette import coloured
from strapline.telling.charts.specification import Specification
from strapline.telling.publish.pictures import words, write_pictures
from strapline.telling.publish.tables import csv

FRAMES = (theme.WIDE, theme.UPRIGHT)


def in_frames(
    charts: Sequence[Chart[Tables]],
    tables: Tables,
    bench: Sequence[str],
) -> dict[theme.Frame, dict[str, Specification]]:
    """Those of the charts that are published, drawn for each frame."""
    own = [chart for chart in charts if chart.published]
    looks = [theme.Look(tuple(bench), frame) for frame in FRAMES]
    return {look.frame: drawn_of(own, tables, look) for look in looks}


def publish(
    folder: Path,
    charts: Mapping[theme.Frame, Mapping[str, Specification]],
    rows: pd.DataFrame,
    markdown: str,
    sources: str,
    credit: str,
    palette: Palette,
) -> None:
    """Pictures, `words.json`, `figures.csv`, `figures.md` and `sources.txt`."""
    folder.mkdir(parents=True, exist_ok=True)
    write_pictures(folder, charts, coloured(palette, credit))
    said = words(charts[theme.WIDE], sources, credit)
    write_text(folder / "words.json", json.dumps(said, ensure_ascii=False, indent=1) + "\n")
    write_text(folder / "figures.csv", csv(rows))
    write_text(folder / "figures.md", f"{markdown}\n{sources}\n")
    write_text(folder / "sources.txt", f"{sources}\n")
