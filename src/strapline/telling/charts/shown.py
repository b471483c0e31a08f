"""Pictures as a page shows them: each in its section, to be drawn by the reader's browser."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from strapline.telling.charts.picture import Content, read_all

if TYPE_CHECKING:
    # Pages show pictures without what makes them.
    from strapline.telling.charts.chart import Chart


@dataclass(frozen=True)
class Shown:
    """A picture by name, its words, and whether the text beside it already says what is read out
    in its place. `content`: its data as JSON; None where there is nothing to draw."""

    name: str
    title: str
    subtitle: str
    alt: str
    content: Markup | None
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
            words = (chart.name, one.title, one.content.subtitle if one.content else "", one.alt)
            content = _data(one.content) if one.content else None
            found[chart.section].append(Shown(*words, content, chart.told))
    return found


def _data(content: Content) -> Markup:
    text = json.dumps(content, default=vars, ensure_ascii=False, separators=(",", ":"))
    # Nothing in it may end the element that holds it.
    return Markup(text.replace("<", "\\u003c"))
