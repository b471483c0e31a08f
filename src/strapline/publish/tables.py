"""The figures that go with published pictures, as rows, as CSV and as a table in Markdown."""

import math
from collections.abc import Sequence
from typing import Any

import pandas as pd

from strapline.charts.text import plain, words
from strapline.report.figures import FIGURES, Figures
from strapline.report.words import VIEWS, number
from strapline.session.intake import SessionIntake
from strapline.settings import Tolerance

# Of the session as a whole and of what FINDINGS say of a device, those a reader acts on.
_STATISTICS = {
    "bias": "Bias, bpm",
    "limit_lower": "Lower limit, bpm",
    "limit_upper": "Upper limit, bpm",
    "bias_next_session": "Bias of a further session, bpm",
    "mape_median": "Error of the median session, %",
}
_MARKUP = str.maketrans({character: f"\\{character}" for character in "\\`*_{}[]<>#|"})


def session_rows(
    intake: SessionIntake, metrics: pd.DataFrame, tolerance: Tolerance
) -> pd.DataFrame:
    """A row a device, view of the clocks and figure of the whole session, with its interval."""
    figures = Figures(metrics)
    rows = []
    for recording in intake.tested:
        for view, clocks in VIEWS.items():
            for figure in FIGURES:
                found = figures.get(recording.recording, "whole", view, figure.name)
                if math.isnan(found.value):
                    continue
                said = {"device": plain(recording.label), "clocks": clocks}
                said |= {"figure": figure.titled(tolerance)}
                numbers = {"value": found.value, "low": found.low, "high": found.high}
                text = _cell(found.value, found.low, found.high, figure.plus, figure.decimals)
                rows.append({**said, **numbers, "said": text, "main": figure.main})
    columns = ["device", "clocks", "figure", "value", "low", "high", "said", "main"]
    return pd.DataFrame(rows, columns=columns)


def session_markdown(rows: pd.DataFrame) -> str:
    """Main figures down, devices across, with clocks aligned where possible."""
    shown = rows[rows["main"] & (rows["clocks"] == VIEWS["aligned"])]
    return _crossed(shown, "figure", "device", "Figure")


def device_rows(findings: pd.DataFrame, device: str, alignment: str = "aligned") -> pd.DataFrame:
    """A row an activity and statistic of FINDINGS, with its interval and what it rests on."""
    own = findings[
        (findings["device"] == device)
        & (findings["alignment"] == alignment)
        & findings["statistic"].isin(_STATISTICS)
        & findings["value"].notna()
    ].astype({"activity": str, "statistic": str})
    rows = []
    for activity in sorted(set(own["activity"]), key=lambda name: (name != "all", name)):
        at = own[own["activity"] == activity].set_index("statistic")
        for statistic, title in _STATISTICS.items():
            if statistic in at.index:
                one = at.loc[statistic]
                numbers = {name: float(one[name]) for name in ("value", "low", "high")}
                rests = {name: int(one[name]) for name in ("sessions", "wearers")}
                text = _cell(
                    numbers["value"], numbers["low"], numbers["high"], one["unit"] == "bpm"
                )
                name = "All activities" if activity == "all" else words(activity)
                rows.append({"activity": name, "figure": title, **numbers, **rests, "said": text})
    columns = ["activity", "figure", "value", "low", "high", "sessions", "wearers", "said"]
    return pd.DataFrame(rows, columns=columns)


def device_markdown(rows: pd.DataFrame) -> str:
    """Activities down, with their sessions; statistics across."""
    named = rows.assign(activity=rows["activity"] + " (" + rows["sessions"].astype(str) + ")")
    return _crossed(named, "activity", "figure", "Activity (sessions)")


def csv(rows: pd.DataFrame) -> str:
    """The rows without the words made of them; six digits are more than any figure means."""
    kept = rows.drop(columns=["said", "main"], errors="ignore")
    return str(kept.to_csv(index=False, float_format="%.6g", lineterminator="\n"))


def _crossed(rows: pd.DataFrame, down: str, across: str, corner: str) -> str:
    heads = list(dict.fromkeys(rows[across]))
    said = {(row[down], row[across]): row["said"] for _, row in rows.iterrows()}
    lines = [[corner, *heads], ["---", *["--:"] * len(heads)]]
    for name in dict.fromkeys(rows[down]):
        lines.append([name, *(said.get((name, head), number(None)) for head in heads)])
    return "".join(_line(line, ruled=index == 1) for index, line in enumerate(lines))


def _line(cells: Sequence[Any], ruled: bool) -> str:
    written = cells if ruled else [str(cell).translate(_MARKUP) for cell in cells]
    return f"| {' | '.join(written)} |\n"


def _cell(value: float, low: float, high: float, plus: bool, decimals: int = 1) -> str:
    text = number(value, plus, decimals)
    if math.isnan(low) or math.isnan(high):
        return text
    ends = (
        number(end, plus, decimals) if math.isfinite(end) else "no bound" for end in (low, high)
    )
    return f"{text} ({' to '.join(ends)})"
