"""How the error goes with how fast the heart rate changes: a late sensor reads low on a rise and
high on a fall."""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import pandas as pd

from strapline.ground.records.intake import RecordingIntake
from strapline.ground.vocabulary import Status
from strapline.ground.words import listed, number, plain
from strapline.method.signal.spacing import is_line, usual_s
from strapline.telling.charts.chart import CLOCKS, Chart, of_few
from strapline.telling.charts.curves import Curve, curves
from strapline.telling.charts.picture import Content
from strapline.telling.charts.places import places
from strapline.telling.charts.traces import NOTHING
from strapline.telling.session_tables import SessionTables

# The pace of change is taken over so many seconds.
_OVER_S = 10
# A pace that hardly ever occurs has no mean worth drawing.
_FEWEST_S = 20
_BINS = 11
_DRAWN = 97.5
_LEAST_PACE = 5.0
_SELDOM = "No device here reports every second for long enough to show how it follows."


def content(tables: SessionTables, bench: Sequence[str]) -> Content | None:
    """A line a device: the mean error at each pace of the strap's change, and its delays."""
    means_of = by_pace(tables)
    shown = [r for r in tables.compared if r.recording in means_of]
    if not shown:
        return None
    every = pd.concat(means_of.values())
    end = float(every["pace"].abs().max())
    low, high = min(float(every["error"].min()), -1), max(float(every["error"].max()), 1)
    place = places([r.device for r in shown], bench)
    found = [
        Curve(place[r.device], r.label, means_of[r.recording], _delays(tables, r, short=True))
        for r in shown
    ]
    subtitle = (
        "Mean of device minus strap, bpm, by how fast the strap changed. Falling from left to "
        f"right: late. At each name: s late at rises, at falls; {CLOCKS}."
    )
    return curves(subtitle, found, (-end, end), (low, high))


def finding(tables: SessionTables) -> str:
    """'Lantern watch: 4.0 s late at rises, 6.2 s late at falls; ...'."""
    found = by_pace(tables)
    shown = [r for r in tables.compared if r.recording in found]
    return of_few([f"{plain(r.label)}: {_delays(tables, r)}" for r in shown])


def alt(tables: SessionTables) -> str:
    """One sentence with each device's delays."""
    found = by_pace(tables)
    parts = [
        f"{plain(r.label)}, {_delays(tables, r)}" for r in tables.compared if r.recording in found
    ]
    if not parts:
        return _SELDOM if tables.compared else NOTHING
    return f"Error by how fast the heart rate changed: {listed(parts)}."


@lru_cache(maxsize=1)
def by_pace(tables: SessionTables) -> dict[str, pd.DataFrame]:
    """The `means` of each recording that has any."""
    found = {
        r.recording: means(errors_by_pace(tables.seconds, r.recording)) for r in tables.compared
    }
    return {name: table for name, table in found.items() if len(table)}


def errors_by_pace(aligned: pd.DataFrame, recording: str) -> pd.DataFrame:
    """Of a recording's compared seconds: the pace, in bpm over 10 s around each, and the error.

    Empty for a device that reports too seldom for a line: it knows no pace.
    """
    own = aligned[aligned["recording"] == recording]
    apart = own["time"].shift(-_OVER_S // 2) - own["time"].shift(_OVER_S // 2)
    pace = own["reference_bpm"].shift(-_OVER_S // 2) - own["reference_bpm"].shift(_OVER_S // 2)
    known = (
        (own["status"] == Status.COMPARED) & (apart == pd.Timedelta(seconds=_OVER_S)) & pace.notna()
    )
    known &= is_line(usual_s(own.loc[known, "stands_for_s"].to_numpy()))
    error = own["device_bpm"] - own["reference_bpm"]
    return pd.DataFrame({"pace": pace[known], "error": error[known]}).astype(float)


def means(found: pd.DataFrame) -> pd.DataFrame:
    """The mean `error` and `pace` in bins of even width about 0, of at least 20 s each."""
    if found.empty:
        return found
    end = max(float(np.percentile(found["pace"].abs(), _DRAWN)), _LEAST_PACE)
    width = 2 * end / _BINS
    inside = found[found["pace"].abs() <= end]
    grouped = inside.groupby(np.floor((inside["pace"] + end) / width).clip(0, _BINS - 1))
    table: pd.DataFrame = grouped.mean()[grouped.size() >= _FEWEST_S].reset_index(drop=True)
    return table


def _delays(tables: SessionTables, recording: RecordingIntake, short: bool = False) -> str:
    """'4.0 s late at rises, 6.2 s late at falls', or throughout; in short '+4.0, +6.2 s'."""
    delays = {
        side: tables.whole(recording.recording, f"delay_{name}")
        for side, name in (("rises", "rising"), ("falls", "falling"))
    }
    known = {f" at {side}": value for side, value in delays.items() if pd.notna(value)}
    if short:
        ends = [number(value, plus=True) for value in known.values()]
        return f"{', '.join(ends)} s" if len(known) == len(delays) else ""
    course = tables.course(recording.recording)
    if not known and course is not None and pd.notna(course["delay_s"]):
        known = {"": course["delay_s"]}
    told = [f"{number(abs(s))} s {'early' if s < 0 else 'late'}{at}" for at, s in known.items()]
    return ", ".join(told) or "nothing tells how late"


RESPONSE = Chart(
    name="response",
    about="session",
    section="more",
    needs=("aligned", "metrics", "courses"),
    question="Does it follow rises and falls?",
    finding=finding,
    alt=alt,
    content=content,
)
