"""One session over time: the heart rates, and beneath them what each device got wrong."""

from collections.abc import Sequence
from typing import Any

import pandas as pd

from strapline.ground.records.intake import RecordingIntake
from strapline.ground.vocabulary import Status
from strapline.ground.words import counted, day, lasting, plain, times
from strapline.method.episodes import kinds
from strapline.method.episodes.headline import together
from strapline.telling.charts import seconds
from strapline.telling.charts.chart import CLOCKS, MOST_TITLED, Chart
from strapline.telling.charts.ends import STRAP, End, ends
from strapline.telling.charts.letters import broken
from strapline.telling.charts.picture import Content, Rows, by_column
from strapline.telling.charts.places import places
from strapline.telling.session_tables import SessionTables

NOTHING = "No second of this session could be compared with a reference."
# A difference that is no larger is drawn no larger in one session than in another.
_LEAST_REACH = 20
_MOST_MARKS = 10
# As long as one says in a breath.
MOST_LETTERS = 110
# Of the second at which a page reads both values: none.
NOT_READ = -1
# Of a heading's lines on a phone, in letters' height, and how many there are besides the first.
_HEADING, _LINES = 21, 2
_STEPS = (60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400)
HOURS_FROM = 180


def content(
    tables: SessionTables, bench: Sequence[str], places_drawn: int = seconds.PLACES
) -> Content | None:
    """Heart rates over the session; a device each, its difference from the strap and its faults."""
    shown = drawn(tables)
    if not shown:
        return None
    table = seconds.by_second(tables.seconds, [r.recording for r in shown])
    doubted = seconds.doubted(tables.seconds)
    short = seconds.thinned(seconds.apart(table, doubted), places_drawn)
    place = places([r.device for r in shown], bench)
    end = max(len(table) - 1, 1)
    rates = ["reference", *(f"rate_{index}" for index in range(len(shown)))]
    low, high = seconds.tens(table[rates])
    lowest, highest = seconds.tens(table.drop(columns=rates))
    faults = [
        {"place": place[r.device], "from": int(start), "to": int(end_s)}
        for r in shown
        for start, end_s in _own(tables.episodes, r.recording)[["start_s", "end_s"]].to_numpy()
    ]
    excluded = [(span.start, span.end) for span in tables.intake.exclude]
    left_out = [
        {"from": start, "to": min(end_s, end), "said": said}
        for spans, said in ((excluded, "left out"), (doubted, "strap in doubt"))
        for start, end_s in spans
        if start < end
    ]
    return Content(
        _subtitle(tables),
        {
            "strap": by_column(seconds.records(short[["reference"]])),
            "doubted": by_column(seconds.records(seconds.where_drawn(short[["doubted"]]))),
            "devices": by_column(
                faults,
                *(_device(short, index, place[r.device]) for index, r in enumerate(shown)),
            ),
            "left_out": by_column(left_out),
            "ends": by_column(_ends(tables, table, shown, place, low, high)),
        },
        {
            "end": end,
            "every": next((s for s in _STEPS if end <= _MOST_MARKS * s), end // 8),
            "low": low,
            "high": high,
            "lowest": min(lowest, -_LEAST_REACH),
            "highest": max(highest, _LEAST_REACH),
            "beats": tables.tolerance.beats,
            "percent": tables.tolerance.percent,
            "now": NOT_READ,
            "places": {r.recording: place[r.device] for r in shown},
            "headings": {
                str(place[r.device]): [
                    f"{plain(r.label)} minus strap, bpm",
                    *_in_lines(_lanes(_own(tables.episodes, r.recording))),
                ]
                for r in shown
            },
        },
    )


def summary(episodes: pd.DataFrame) -> str:
    """The faults of a device by kind, those of most time first: 'late 13 times, 13 min'."""
    return "; ".join(_lanes(episodes))


def _lanes(episodes: pd.DataFrame) -> list[str]:
    own = episodes.astype({"kind": str})
    spans = (own["end_s"] - own["start_s"]).groupby(own["kind"]).agg(["count", "sum"])
    told = [
        f"{kinds.kind(str(kind)).lane} {times(int(count))}, {lasting(total)}"
        for kind, count, total in spans.sort_values("sum", ascending=False).itertuples()
    ]
    return told or ["no fault"]


def _in_lines(told: Sequence[str]) -> list[str]:
    """All of it or, where that is too long, as much as there is room for and how much is not."""
    for count in range(len(told), 0, -1):
        rest = [f"{len(told) - count} more"] if count < len(told) else []
        lines = broken("; ".join([*told[:count], *rest]), _HEADING, 1, bold=True)
        if len(lines) <= _LINES:
            break
    return lines[:_LINES]


def finding(tables: SessionTables) -> str:
    """What each device did, the one that was off most first; of many, of those alone."""
    errors = tables.courses.set_index("recording")["error_bpm"].to_dict()
    titled = sorted(tables.compared, key=lambda each: -errors.get(each.recording, 0.0))
    for form in ("title", "short_title"):
        told = together(_said(tables, titled[:MOST_TITLED], form))
        if len(tables.headed(told)) <= MOST_LETTERS:
            break
    return told


def alt(tables: SessionTables) -> str:
    """What happened to each device and when, as the page tells it."""
    return " ".join(_said(tables, tables.compared, "line", "course")) or NOTHING


def drawn(tables: SessionTables) -> list[RecordingIntake]:
    """Those compared; in a session whose reference failed, those that could have been."""
    aligned = tables.seconds
    failed = aligned[
        (aligned["status"] == Status.REFERENCE_SET_ASIDE) & (aligned["stands_for_s"] > 0)
    ]
    names = set(failed["recording"].unique())
    return tables.compared or [r for r in tables.intake.tested if r.recording in names]


def length(aligned: pd.DataFrame) -> str:
    """How long the table is: '45 minutes', '12 hours'."""
    minutes = round((aligned["time"].max() - aligned["time"].min()).total_seconds() / 60)
    if minutes >= HOURS_FROM:
        return counted(round(minutes / 60), "hour")
    return counted(minutes, "minute")


def _said(tables: SessionTables, recordings: Sequence[RecordingIntake], *forms: str) -> list[str]:
    """The sentences in these forms, device by device."""
    own = tables.sentences.astype({"recording": str, "form": str})
    return [
        text
        for recording in recordings
        for form in forms
        for text in own.loc[
            (own["recording"] == recording.recording) & (own["form"] == form)
        ].sort_values("place")["text"]
    ]


def _own(episodes: pd.DataFrame, recording: str) -> pd.DataFrame:
    return episodes[episodes["recording"] == recording]


def _device(table: pd.DataFrame, index: int, place: int) -> Rows:
    named = {f"rate_{index}": "bpm", f"difference_{index}": "difference"}
    return [
        {"place": place, **row} for row in seconds.records(table[[*named]].rename(columns=named))
    ]


def _ends(
    tables: SessionTables,
    table: pd.DataFrame,
    shown: Sequence[RecordingIntake],
    place: dict[str, int],
    low: int,
    high: int,
) -> list[dict[str, Any]]:
    """Where each line ends that has a value."""
    strap = tables.intake.reference.label if tables.intake.reference else "Reference"
    lines = [("reference", STRAP, strap)]
    lines += [(f"rate_{index}", place[r.device], r.label) for index, r in enumerate(shown)]
    found = []
    for field, at, label in lines:
        known = table[field].dropna()
        if len(known):
            found.append(End(at, label, int(known.index[-1]), float(known.iloc[-1])))
    return ends(found, low, high, line=0.12)


def _subtitle(tables: SessionTables) -> str:
    aligned, tolerance = tables.seconds, tables.tolerance
    date = day(aligned["time"].min())
    return (
        f"{date}, {length(aligned)}, {CLOCKS}. Bands: {tolerance.beats:g} bpm and "
        f"{tolerance.percent:g} % of the strap. Bars above: late or at fault."
    )


TRACES = Chart(
    name="traces",
    about="session",
    section="findings",
    needs=("aligned", "courses", "episodes", "sentences"),
    question="Heart rate at the wrist and on the chest",
    finding=finding,
    alt=alt,
    content=content,
    told=True,
)
