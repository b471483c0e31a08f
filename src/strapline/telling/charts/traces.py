"""One session over time: the heart rates, and beneath them what each device got wrong."""

import pandas as pd

from strapline.ground.records.intake import RecordingIntake
from strapline.ground.vocabulary import Status
from strapline.telling.charts import seconds
from strapline.telling.charts.chart import Chart
from strapline.telling.charts.panels import BETWEEN, Panels
from strapline.telling.charts.sheet import CLOCKS, Sheet, length
from strapline.telling.charts.specification import Specification
from strapline.telling.session_tables import SessionTables

QUESTION = "Heart rate at the wrist and on the chest"
# More devices are no title any more.
MOST_TITLED = 2
NOTHING = "No second of this session could be compared with a reference."


def draw(tables: SessionTables, sheet: Sheet) -> Specification:
    """Heart rates over the session and, a strip a device, device minus reference.

    Episodes stand in a lane above each strip.
    """
    shown = drawn(tables)
    if not shown:
        return sheet.saying()
    table = seconds.by_second(tables.seconds, [r.recording for r in shown], tables.tolerance)
    styles = sheet.styles(r.device for r in shown)
    doubted = seconds.doubted(tables.seconds)
    names, looks = [r.label for r in shown], [styles[r.device] for r in shown]
    found = [_own(tables.episodes, r.recording) for r in shown]
    on = sheet.explained(_subtitle(tables, len(table), bool(doubted)))
    panels = Panels(table, tables.intake, names, looks, on, doubted, found)
    return on.finished(
        [panels.rates(), *map(panels.strip, range(len(shown)))],
        BETWEEN,
        datasets={"seconds": panels.rows()},
    )


def finding(tables: SessionTables) -> str:
    """What each device did, in a few words each."""
    told = _said(tables, "title")
    return "; ".join(told) if 0 < len(told) <= MOST_TITLED else QUESTION


def alt(tables: SessionTables) -> str:
    """What happened to each device and when, as the page tells it."""
    return " ".join(_said(tables, "line", "course")) or NOTHING


def _said(tables: SessionTables, *forms: str) -> list[str]:
    """The sentences in these forms, device by device."""
    own = tables.sentences.astype({"recording": str, "form": str})
    return [
        text
        for recording in tables.compared
        for form in forms
        for text in own.loc[
            (own["recording"] == recording.recording) & (own["form"] == form)
        ].sort_values("place")["text"]
    ]


def drawn(tables: SessionTables) -> list[RecordingIntake]:
    """Those compared; in a session whose reference failed, those that could have been."""
    aligned = tables.seconds
    failed = aligned[
        (aligned["status"] == Status.REFERENCE_SET_ASIDE) & (aligned["stands_for_s"] > 0)
    ]
    names = set(failed["recording"].unique())
    return tables.compared or [r for r in tables.intake.tested if r.recording in names]


def _own(episodes: pd.DataFrame, recording: str) -> pd.DataFrame:
    return episodes[episodes["recording"] == recording]


def _subtitle(tables: SessionTables, seconds: int, doubted: bool) -> str:
    aligned, tolerance = tables.seconds, tables.tolerance
    date = f"{aligned['time'].min():%d %B %Y}".lstrip("0")
    excluded = any(span.start < seconds for span in tables.intake.exclude)
    left_out = "; grey: left out" if excluded else ""
    if doubted:
        left_out += "; hatched: strap in doubt"
    return (
        f"{date}, {length(aligned)}, {CLOCKS}. "
        f"Band: {tolerance.beats:g} bpm or {tolerance.percent:g} %{left_out}."
    )


TRACES = Chart(
    name="traces",
    about="session",
    section="findings",
    needs=("aligned", "episodes", "sentences"),
    question=QUESTION,
    finding=finding,
    alt=alt,
    draw=draw,
    told=True,
)
