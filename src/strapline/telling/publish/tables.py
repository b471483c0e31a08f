"""The figures that go with published pictures, as rows, as CSV and as a table in Markdown."""

import math
from collections.abc import Sequence
from typing import Any

import pandas as pd

from strapline.ground.records.intake import SessionIntake
from strapline.ground.settings import Tolerance
from strapline.ground.vocabulary import (
    ALL_ACTIVITIES,
    VIEWS,
    Clocks,
    HeldAgainst,
    Scope,
    StatedFigure,
)
from strapline.ground.words import in_words, number, plain, reading
from strapline.method.metrics import registry
from strapline.method.metrics.figures import Figures

# Of the session as a whole and of what FINDINGS say of a device, those a reader acts on.
_STATISTICS = {
    "bias": "Bias, bpm",
    "limit_lower": "Lower limit, bpm",
    "limit_upper": "Upper limit, bpm",
    "bias_next_session": "Bias of a further session, bpm",
    "mape_median": "Error of the median session, %",
}
# Of a session, besides its main figures: what a reader of both maxima asks next.
_ALSO = ("maximum_difference",)
_STATED: dict[str, str] = {
    StatedFigure.AVERAGE: "Average, as the app states",
    StatedFigure.MAXIMUM: "Highest, as the app states",
}
_COLUMNS = ["device", "clocks", "figure", "value", "low", "high", "said", "main", "recording"]
# Columns that only the tables in Markdown need.
_APART = ("said", "main", "recording", "at")
_MARKUP = str.maketrans({character: f"\\{character}" for character in "\\`*_{}[]<>#|"})


def session_rows(
    intake: SessionIntake, metrics: pd.DataFrame, tolerance: Tolerance
) -> pd.DataFrame:
    """A row a device, view of the clocks and figure of the whole session, with its interval."""
    figures = Figures(metrics)
    rows = []
    for recording in intake.tested:
        for view, clocks in VIEWS.items():
            for metric in registry.METRICS:
                found = figures.get(recording.recording, Scope.WHOLE, view, metric.key)
                if math.isnan(found.value):
                    continue
                said = {"recording": recording.recording}
                said |= {"device": plain(recording.label), "clocks": clocks}
                said |= {"figure": metric.titled(tolerance)}
                numbers = {"value": found.value, "low": found.low, "high": found.high}
                text = cell(found.value, found.low, found.high, metric.plus, metric.decimals)
                rows.append(
                    {**said, **numbers, "said": text, "main": metric.main or metric.key in _ALSO}
                )
    return pd.DataFrame(rows, columns=_COLUMNS)


def stated_rows(intake: SessionIntake, stated: pd.DataFrame) -> pd.DataFrame:
    """The same of what apps state of devices without an export: what they state, and how far that
    is from the strap's."""
    labels = {entry.recording: plain(entry.label) for entry in intake.stated_alone}
    rows = []
    for row in stated[stated["against"] == HeldAgainst.STRAP].to_dict("records"):
        figure = _STATED[row["figure"]]
        for name, told in (("stated", figure), ("difference", f"{figure}, minus the strap’s")):
            said = {"recording": row["recording"], "device": labels[row["recording"]]}
            said |= {"clocks": "", "figure": f"{told}, bpm"}
            value = row[name]
            said |= {"said": reading(value) if name == "stated" else number(value, plus=True)}
            rows.append({**said, "value": value, "low": math.nan, "high": math.nan, "main": True})
    return pd.DataFrame(rows, columns=_COLUMNS)


def session_markdown(rows: pd.DataFrame) -> str:
    """Main figures down, devices across."""
    shown = rows[rows["main"] & rows["clocks"].isin([VIEWS[Clocks.SETTLED], ""])]
    return crossed(shown, ("figure", "figure"), ("recording", "device"), "Figure")


def device_rows(findings: pd.DataFrame, device: str) -> pd.DataFrame:
    """A row an activity and statistic of FINDINGS, with its interval and what it rests on."""
    own = findings[
        (findings["device"] == device)
        & (findings["alignment"] == Clocks.SETTLED)
        & findings["statistic"].isin(_STATISTICS)
        & findings["value"].notna()
    ].astype({"activity": str, "statistic": str})
    rows = []
    for activity in sorted(set(own["activity"]), key=lambda name: (name != ALL_ACTIVITIES, name)):
        at = own[own["activity"] == activity].set_index("statistic")
        for statistic, title in _STATISTICS.items():
            if statistic in at.index:
                one = at.loc[statistic]
                numbers = {name: float(one[name]) for name in ("value", "low", "high")}
                rests = {name: int(one[name]) for name in ("sessions", "wearers")}
                text = cell(numbers["value"], numbers["low"], numbers["high"], one["unit"] == "bpm")
                names = {"at": activity, "activity": in_words(activity), "figure": title}
                rows.append({**names, **numbers, **rests, "said": text})
    columns = ["activity", "figure", "value", "low", "high", "sessions", "wearers", "said", "at"]
    return pd.DataFrame(rows, columns=columns)


def device_markdown(rows: pd.DataFrame) -> str:
    """Activities down, with their sessions; statistics across."""
    sessions = " (" + rows["sessions"].astype(str) + ")"
    named = rows.assign(activity=rows["activity"] + sessions, at=rows["at"] + sessions)
    return crossed(named, ("at", "activity"), ("figure", "figure"), "Activity (sessions)")


def csv(rows: pd.DataFrame) -> str:
    """The rows without what tables are made of; six digits are more than any figure means."""
    kept = rows.drop(columns=list(_APART), errors="ignore")
    return str(kept.to_csv(index=False, float_format="%.6g", lineterminator="\n"))


def crossed(rows: pd.DataFrame, down: tuple[str, str], across: tuple[str, str], corner: str) -> str:
    """What rows have under `said`, as a table in Markdown. `down` and `across`: the column that
    tells apart, and the one that is shown."""
    names, heads = (dict(zip(rows[key], rows[shown], strict=True)) for key, shown in (down, across))
    keys = zip(rows[down[0]], rows[across[0]], strict=True)
    said = dict(zip(keys, rows["said"], strict=True))
    body = [
        [name, *(said.get((key, head), number(None)) for head in heads)]
        for key, name in names.items()
    ]
    return lined([corner, *heads.values()], body)


def lined(heads: Sequence[str], body: Sequence[Sequence[str]]) -> str:
    """A table in Markdown; its first column is of words."""
    lines = [heads, ["---", *["--:"] * (len(heads) - 1)], *body]
    return "".join(_line(line, ruled=index == 1) for index, line in enumerate(lines))


def escaped(text: str) -> str:
    """As Markdown has it, on one line, with no sign of it that means more than itself."""
    return plain(text).translate(_MARKUP)


def _line(cells: Sequence[Any], ruled: bool) -> str:
    written = cells if ruled else [escaped(str(cell)) for cell in cells]
    return f"| {' | '.join(written)} |\n"


def cell(value: float, low: float, high: float, plus: bool, decimals: int = 1) -> str:
    """A figure with its interval, where there is one."""
    text = number(value, plus, decimals)
    if math.isnan(low) or math.isnan(high):
        return text
    return f"{text} ({number(low, plus, decimals)} to {number(high, plus, decimals)})"
