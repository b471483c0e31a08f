"""Difference against mean, a panel a device, with bias and limits of agreement and their intervals.

Bland JM, Altman DG. Statistical methods for assessing agreement between two methods of clinical
measurement. Lancet 1986;327:307-310.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from strapline.ground.records.intake import RecordingIntake
from strapline.ground.words import listed, number, plain
from strapline.method.agreement.pairs import NORMAL_975
from strapline.telling.charts import cells
from strapline.telling.charts.chart import CLOCKS, Chart, of_few
from strapline.telling.charts.ends import spread
from strapline.telling.charts.picture import Content
from strapline.telling.charts.seconds import tens
from strapline.telling.charts.traces import NOTHING
from strapline.telling.session_tables import Measured, SessionTables

LINES = {"limit_upper": "upper limit", "bias": "bias", "limit_lower": "lower limit"}

# What limits that change with heart rate are made of, and the averages they are about.
BAND = (
    "bias",
    "proportional_slope",
    "spread_about_line",
    "spread_slope",
    "mean_reference",
    "mean_device",
)

# Of two lines of words, in a panel's height.
_WORDS = 0.19


def content(tables: SessionTables, bench: Sequence[str]) -> Content | None:
    """Each device's difference from the strap against the mean of the two.

    The lines and the bands around them, which are their 95 % intervals, are METRICS over the whole
    session. A dot stands for all seconds that fall within a cell, 2 bpm by 2 bpm or, where those
    are many, larger.
    """
    shown = tables.compared
    if not shown:
        return None
    lines = {r.recording: agreement(tables, r.recording) for r in shown}
    counted = {r.recording: dots(tables.seconds, r.recording)[0] for r in shown}
    every = pd.concat(counted.values())
    left, right = tens(every[["mean"]])
    low, high = tens(pd.DataFrame({"up": [*every["difference"], *_ends(lines.values())]}))
    rows = {name: _rows(own, low, high) for name, own in lines.items()}
    values = {"left": left, "right": right, "low": low, "high": high}
    bands = {name: _band(tables.measured.get(name, {}), own) for name, own in counted.items()}
    subtitle = _subtitle(lines.values(), any(bands.values()))
    return cells.dotted(subtitle, shown, bench, counted, values, rows, bands)


def finding(tables: SessionTables) -> str:
    """Bias and limits."""
    lines = [(r, agreement(tables, r.recording)) for r in tables.compared]
    return of_few([_spoken(*one) for one in lines])


def alt(tables: SessionTables) -> str:
    """One sentence with each device's bias and limits of agreement."""
    if not tables.compared:
        return NOTHING
    parts = [_spoken(r, agreement(tables, r.recording)) for r in tables.compared]
    return f"Difference from the reference: {listed(parts)}."


def agreement(tables: SessionTables, recording: str) -> dict[str, Measured]:
    """Bias and limits of the whole session, those that are defined."""
    found = tables.measured.get(recording, {})
    return {name: found[name] for name in LINES if name in found}


def _band(figures: Mapping[str, Measured], counted: pd.DataFrame) -> list[dict[str, float]]:
    """Limits that change with heart rate, over the middle nine tenths of the seconds."""
    if not figures.keys() >= set(BAND):
        return []
    bias, slope, spread, growth, *sides = (figures[name].value for name in BAND)
    middle = sum(sides) / 2
    found = []
    reach = np.quantile(
        counted["mean"], (0.05, 0.95), weights=counted["seconds"], method="inverted_cdf"
    )
    for rate in sorted({*reach.tolist(), middle}):
        centre = bias + slope * (rate - middle)
        half = NORMAL_975 * max(spread + growth * (rate - middle), 0)
        found.append(
            {
                "x": round(rate, 1),
                "below": round(centre - half, 2),
                "above": round(centre + half, 2),
            }
        )
    return found


def dots(aligned: pd.DataFrame, recording: str) -> tuple[pd.DataFrame, int]:
    """Compared seconds counted in cells: mean, difference, seconds; and a cell's width in bpm."""
    points = cells.compared_points(
        aligned, recording, lambda d, r: {"mean": (d + r) / 2, "difference": d - r}
    )
    return cells.cells(points)


def _ends(lines: Iterable[Mapping[str, Measured]]) -> list[float]:
    """The lines and the ends of their intervals, as far as these leave the dots their room."""
    every = [line for own in lines for line in own.values()]
    furthest = 1.4 * max((abs(line.value) for line in every), default=0)
    ends = [end for line in every if line.known for end in (line.low, line.high)]
    return [
        *(line.value for line in every),
        *(min(max(end, -furthest), furthest) for end in ends),
    ]


def _subtitle(lines: Iterable[Mapping[str, Measured]], has_band: bool) -> str:
    known = any(line.known for own in lines for line in own.values())
    grey = " Grey: 95 % intervals of the lines." if known else ""
    band = " Band: limits that change with heart rate." if has_band else ""
    return f"Device minus strap, bpm; {CLOCKS}. Larger dot: more seconds.{grey}{band}"


def _spoken(recording: RecordingIntake, lines: Mapping[str, Measured]) -> str:
    name = plain(recording.label)
    if len(lines) < len(LINES):
        return f"{name} too little data for limits of agreement"
    bias, low, high = (
        number(lines[m].value, plus=True) for m in ("bias", "limit_lower", "limit_upper")
    )
    return f"{name} {bias} bpm on average, 95 % of seconds about {low} to {high} bpm"


def _rows(lines: Mapping[str, Measured], low: float, high: float) -> list[dict[str, Any]]:
    """A row a line: its value, the ends of its interval within the panel, and its words, `at`."""
    gap = _WORDS * (high - low)
    wanted = [line.value for line in lines.values()]
    places = spread(wanted, gap, low + gap / 2, high - gap / 2)
    return [
        {
            "line": round(line.value, 2),
            "from": max(round(line.low, 2), low) if line.known else None,
            "to": min(round(line.high, 2), high) if line.known else None,
            "at": round(at, 2),
            "words": [
                f"{number(line.value, plus=True)} {LINES[name]}",
                *(
                    [f"{number(line.low, plus=True)} to {number(line.high, plus=True)}"]
                    if line.known
                    else []
                ),
            ],
        }
        for (name, line), at in zip(lines.items(), places, strict=True)
    ]


BLAND_ALTMAN = Chart(
    name="bland-altman",
    about="session",
    section="more",
    needs=("aligned", "metrics"),
    question="Does the error depend on the heart rate?",
    finding=finding,
    alt=alt,
    content=content,
)
