"""Pictures as a page shows them: each in its section, to be drawn by the reader's browser."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from strapline.telling.charts.specification import Specification, read_all

if TYPE_CHECKING:
    # Pages show pictures without what makes them.
    from strapline.telling.charts.chart import Chart


@dataclass(frozen=True)
class Shown:
    """A chart by name, what is read out in its place, and whether the text beside it already says
    that. `content`: its specification as JSON, with each data set by column instead of by row."""

    name: str
    title: str
    alt: str
    content: Markup
    told: bool = False


# By the page's section.
Pictures = Mapping[str, Sequence[Shown]]


def on_page(charts: Sequence[Chart[Any]], folder: Path) -> Pictures:
    """What there is of the charts in a folder as `save_all` left it; every section of theirs, also
    without a picture."""
    there = read_all(folder)
    found: dict[str, list[Shown]] = {chart.section: [] for chart in charts}
    for chart in charts:
        if chart.name in there:
            one = there[chart.name]
            shown = Shown(chart.name, one.title, one.alt, _content(one), chart.told)
            found[chart.section].append(shown)
    return found


def _content(chart: Specification) -> Markup:
    sets = {name: by_column(rows) for name, rows in chart.spec["datasets"].items()}
    whole = chart.spec | {"datasets": sets}
    text = json.dumps(whole, ensure_ascii=False, separators=(",", ":"))
    # Nothing in it may end the element that holds it.
    return Markup(text.replace("<", "\\u003c"))


def by_column(rows: Sequence[Mapping[str, Any]]) -> dict[str, list[Any]]:
    """Rows with the same fields, each field once."""
    return {field: [row[field] for row in rows] for field in rows[0]} if rows else {}
