"""Parts of a chart, as Altair's classes of the Vega-Lite grammar.

Altair's own `Chart` copies its data in every layer and looks them through again at every step,
which took most of a session's time; its classes of the grammar do neither. A test validates every
finished chart against Vega-Lite's schema.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Literal

import altair as alt
from altair.utils.schemapi import disable_debug_mode

# A finished chart is validated whole, in a test; not each of its parts as it is made.
disable_debug_mode()

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"

# One of Altair's classes, or the plain mapping that stands for it.
Part = Any
Kind = Literal["area", "circle", "line", "point", "rect", "rule", "text"]


def mark(
    kind: Kind,
    data: str | Iterable[Mapping[str, Any]],
    channels: Mapping[str, Part],
    **look: Any,
) -> Part:
    """A layer: `data` are few rows, written where they are used, or the name of a data set."""
    rows = alt.NamedData(data) if isinstance(data, str) else alt.InlineData(list(data))
    return alt.UnitSpec(
        data=rows, mark=alt.MarkDef(type=kind, **look), encoding=alt.Encoding(**channels)
    )


def quantity(field: str, domain: Sequence[float], axis: Part | None = None, **scale: Any) -> Part:
    """A channel of position: `field` on a linear scale that spans `domain` exactly."""
    drawn = alt.Scale(domain=list(domain), nice=False, **scale)
    return alt.PositionFieldDef(field=field, type="quantitative", scale=drawn, axis=axis)


def up_to(field: str) -> Part:
    """The other end, on the scale of the first."""
    return alt.SecondaryFieldDef(field=field)


def pixel(place: float) -> Part:
    """A fixed place, or any other fixed value of a channel."""
    return alt.PositionValueDef(value=round(place, 1))


def as_given(field: str) -> Part:
    """A channel whose values are already colours, shapes or sizes."""
    return alt.FieldOrDatumDefWithConditionMarkPropFieldDefGradientstringnull(
        field=field, type="nominal", scale=None, legend=None
    )


def written(field: str) -> Part:
    """A channel of words."""
    return alt.StringFieldDef(field=field, type="nominal")


def panel(layers: Sequence[Part], width: float, height: float, heading: Part | None = None) -> Part:
    """Layers on top of one another."""
    named = {} if heading is None else {"title": heading}
    return alt.LayerSpec(layer=list(layers), width=width, height=height, **named)


def beside(panels: Sequence[Part], spacing: float) -> Part:
    return alt.HConcatSpecGenericSpec(hconcat=list(panels), spacing=spacing, bounds="flush")


def below(
    parts: Sequence[Part], datasets: Mapping[str, Sequence[Mapping[str, Any]]], **more: Any
) -> dict[str, Any]:
    """A whole specification: parts one below the other, and the data sets they name."""
    whole = alt.TopLevelVConcatSpec(vconcat=list(parts), **more)
    # Rows are plain already, and looking through them takes longer than all the rest.
    return {"$schema": SCHEMA, **whole.to_dict(validate=False), "datasets": dict(datasets)}
