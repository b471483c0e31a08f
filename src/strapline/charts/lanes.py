"""A lane above a device's strip in which its episodes stand, named where there is room."""

from collections.abc import Sequence
from typing import Any

import altair as alt
import pandas as pd

from strapline.charts import sheet, theme

HEIGHT = 40
_BAR, _BASE = 6, 32
_LETTER = 15

NAMES = {
    "no_value": "no value",
    "stuck": "stuck",
    "slow_to_follow": "late",
    "follows_cadence": "cadence",
    "spike": "spike",
    "reads_low": "low",
    "reads_high": "high",
}


def lane(episodes: pd.DataFrame, x: alt.X, end: int, width: int, ink: str) -> list[Any]:
    """Bars over a device's episodes (rows under EPISODES), and the name of each kind where it
    fits before the next. `end` is the session's last second, `width` in pixels."""
    spans = [
        {"s": int(start), "end": min(int(stop), end), "name": NAMES[str(kind)]}
        for start, stop, kind in zip(
            episodes["start_s"], episodes["end_s"], episodes["kind"], strict=True
        )
    ]
    if not spans:
        return []
    bars = alt.Chart(sheet.rows(spans)).mark_rule(color=ink, strokeWidth=_BAR)
    drawn = [bars.encode(x=x, x2="end:Q", y=alt.value(_BASE))]
    named = _named(spans, width / end)
    if named:
        text = alt.Chart(sheet.rows(named)).mark_text(
            align="left", baseline="bottom", fontSize=theme.SMALL, color=ink
        )
        drawn.append(text.encode(x=x, y=alt.value(_BASE - _BAR), text="name:N"))
    return drawn


def _named(spans: Sequence[dict[str, Any]], pixels: float) -> list[dict[str, Any]]:
    """Those whose name fits before the next bar, or over the last one."""
    ends = [following["s"] for following in spans[1:]] + [spans[-1]["end"]]
    return [
        {"s": span["s"], "name": span["name"]}
        for span, end in zip(spans, ends, strict=True)
        if _LETTER * len(span["name"]) <= (end - span["s"]) * pixels
    ]
