"""What all charts share: putting parts on one sheet, placing labels, and writing numbers."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import altair as alt
import pandas as pd

from strapline.charts import theme
from strapline.charts.render import Chart
from strapline.charts.text import counted, plain, words
from strapline.session.intake import UNSTATED
from strapline.settings import Presentation

# A gap of the axis labels and the margins around the sheet, so that sizes can be reckoned.
MARGIN = 40
AXIS = 76
LEGIBLE_TITLE = theme.FRAME_WIDTH - 2 * MARGIN

HOURS_FROM = 180

CLOCKS = {"as_recorded": "clocks as recorded", "aligned": "clocks aligned where possible"}


def finished(
    parts: Sequence[Any],
    presentation: Presentation,
    title: str,
    subtitle: str,
    alternative: str,
    between: int = 0,
    bounds: str = "flush",
    datasets: Mapping[str, list[dict[Any, Any]]] | None = None,
) -> Chart:
    """The parts one below the other, under a title and above the credit.

    Long `datasets`, which parts know by name, are put in last: Altair checks what it is given,
    row by row.
    """
    title, alternative = plain(title), plain(alternative)
    whole = alt.vconcat(
        *parts,
        *_credit(presentation),
        title=alt.TitleParams(title, subtitle=plain(subtitle), limit=LEGIBLE_TITLE),
        description=alternative,
        config=theme.config(presentation),
        padding=0,
        bounds=bounds,
        spacing=between,
    )
    spec = whole.to_dict()
    spec["datasets"] = {**spec.get("datasets", {}), **(datasets or {})}
    return Chart(spec, title, alternative)


def missing(presentation: Presentation, title: str, what: str) -> Chart:
    """A chart that says in words what it has nothing to show of."""
    words = (
        alt.Chart(rows([{}]), width=LEGIBLE_TITLE, height=560)
        .mark_text(text=plain(what), fontSize=theme.LABEL, limit=LEGIBLE_TITLE)
        .encode(x=alt.value(LEGIBLE_TITLE / 2), y=alt.value(280))
    )
    return finished([words], presentation, title, "", what)


def rows(records: Iterable[Mapping[Any, Any]]) -> Any:
    """Few records, to be written where they are used."""
    return alt.InlineData(values=list(records))


def number(value: float) -> float | int | None:
    """`value` to a tenth, written as short as it can be; None where it is missing."""
    if not math.isfinite(value):
        return None
    tenth = round(float(value), 1)
    return int(tenth) if tenth.is_integer() else tenth


def length(aligned: pd.DataFrame) -> str:
    """How long the table is: '45 minutes', '12 hours'."""
    minutes = round((aligned["time"].max() - aligned["time"].min()).total_seconds() / 60)
    if minutes >= HOURS_FROM:
        return counted(round(minutes / 60), "hour")
    return counted(minutes, "minute")


def headed(activity: str, title: str) -> str:
    """The title after its activity, where one is stated."""
    return title if activity == UNSTATED else f"{words(activity)}: {title[:1].lower()}{title[1:]}"


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places near the wanted ones, at least `gap` apart, and within low to high if they fit."""
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    places = [min(max(wanted[index], low), high) for index in order]
    for index in range(1, len(places)):
        places[index] = max(places[index], places[index - 1] + gap)
    ceiling = high
    for index in reversed(range(len(places))):
        places[index] = min(places[index], ceiling)
        ceiling = places[index] - gap
    return [place for _, place in sorted(zip(order, places, strict=True))]


def _credit(presentation: Presentation) -> list[alt.Chart]:
    credit = plain(presentation.credit)
    if not credit:
        return []
    width = LEGIBLE_TITLE - AXIS
    line = alt.Chart(rows([{}]), width=width, height=theme.SMALL)
    return [
        line.mark_text(
            text=credit, align="right", baseline="bottom", fontSize=theme.SMALL, limit=width
        ).encode(x=alt.value(width), y=alt.value(theme.SMALL))
    ]
