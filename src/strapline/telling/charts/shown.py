"""Pictures as a page shows them: each in its section."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strapline.telling.charts.render import Picture, pictures

if TYPE_CHECKING:
    # Pages show pictures without what draws them.
    from strapline.telling.charts.chart import Chart


@dataclass(frozen=True)
class Shown:
    """`told` if the text beside the picture already says what its caption would."""

    picture: Picture
    told: bool = False


# By the page's section.
Pictures = Mapping[str, Sequence[Shown]]


def on_page(charts: Sequence[Chart[Any]], folder: Path) -> Pictures:
    """What there is of the charts in a folder as `save_all` left it; every section of theirs, also
    without a picture."""
    there = {picture.name: picture for picture in pictures(folder)}
    found: dict[str, list[Shown]] = {chart.section: [] for chart in charts}
    for chart in charts:
        if chart.name in there:
            found[chart.section].append(Shown(there[chart.name], chart.told))
    return found
