"""What a panel over time shows of the seconds that are not compared."""

from collections.abc import Sequence

import numpy as np

from strapline.ground.records.card import Exclusion
from strapline.method.signal.reference_check import Span
from strapline.telling.charts import theme
from strapline.telling.charts.marks import Part, mark, up_to

# Pixels from stroke to stroke.
_HATCH = 11


def excluded_layers(spans: Sequence[Exclusion], over: Part, end: int) -> list[Part]:
    """Grey over what the session's card leaves out, up to second `end`.

    `over`: the channels of the seconds, and of the pixels from top to bottom.
    """
    return _grey([(span.start, min(span.end, end)) for span in spans], over, 0.13)


def doubted_layers(spans: Sequence[Span], over: Part, scale: float) -> list[Part]:
    """Upright strokes over seconds in which the reference is not believed; `scale` in s a pixel."""
    strokes = [
        {"s": round(float(second), 1)}
        for span in spans
        for second in np.arange(span.start, span.end, scale * _HATCH)
    ]
    if not strokes:
        return []
    grey = _grey([(span.start, span.end) for span in spans], over, 0.07)
    return [*grey, mark("rule", strokes, over, color=theme.INK, opacity=0.45, strokeWidth=2.5)]


def _grey(spans: Sequence[tuple[float, float]], over: Part, opacity: float) -> list[Part]:
    if not spans:
        return []
    rows = [{"s": start, "end": end} for start, end in spans]
    return [mark("rect", rows, {**over, "x2": up_to("end")}, color=theme.INK, opacity=opacity)]
