"""Parts of a Vega-Lite specification, written as the dictionaries they are."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

Part = dict[str, Any]


def mark(
    kind: str,
    data: str | Iterable[Mapping[str, Any]],
    channels: Mapping[str, Any],
    **look: Any,
) -> Part:
    """A layer: `data` are few rows, written where they are used, or the name of a data set."""
    rows = {"name": data} if isinstance(data, str) else {"values": list(data)}
    return {"data": rows, "mark": {"type": kind, **look}, "encoding": dict(channels)}


def quantity(field: str, domain: Sequence[float], axis: Part | None = None, **scale: Any) -> Part:
    """A channel of position: `field` on a linear scale that spans `domain` exactly."""
    drawn = {"domain": list(domain), "nice": False, **scale}
    return {"field": field, "type": "quantitative", "scale": drawn, "axis": axis}


def up_to(field: str) -> Part:
    """The other end, on the scale of the first."""
    return {"field": field}


def pixel(place: float) -> Part:
    """A fixed place, or any other fixed value of a channel."""
    return {"value": round(place, 1)}


def as_given(field: str) -> Part:
    """A channel whose values are already colours, shapes or sizes."""
    return {"field": field, "type": "nominal", "scale": None, "legend": None}


def written(field: str) -> Part:
    """A channel of words."""
    return {"field": field, "type": "nominal"}


def panel(layers: Sequence[Part], width: float, height: float, heading: Part | None = None) -> Part:
    """Layers on top of one another."""
    named = {} if heading is None else {"title": heading}
    return {"layer": list(layers), "width": width, "height": height, **named}


def beside(panels: Sequence[Part], spacing: float) -> Part:
    return {"hconcat": list(panels), "spacing": spacing, "bounds": "flush"}
