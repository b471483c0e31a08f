"""What a tester says and pastes of one session: its page's own sentences, as many as there is room
for."""

from __future__ import annotations

import pandas as pd

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.records.intake import RecordingIntake
from strapline.ground.vocabulary import Clocks, Scope
from strapline.ground.words import listed, number, plain
from strapline.method.episodes.lead import average, maximum
from strapline.method.episodes.not_compared import START, left_out
from strapline.method.episodes.sentences import brief, brief_aloud
from strapline.method.metrics import registry
from strapline.method.metrics.figures import Figures
from strapline.telling.charts import traces
from strapline.telling.publish.tables import escaped, stated_rows
from strapline.telling.publish.text import MOST_WORDS, WORDS_A_MINUTE, Text, chosen
from strapline.telling.report.apps import sentences_of
from strapline.telling.session_tables import SessionTables

# Shown after averages and maxima.
FIGURES = ("mae", "within_beats", "within_percent")


def session_text(tables: SessionTables, sources: str) -> Text:
    """Of all devices that were compared."""
    devices = [
        recording for recording in tables.compared if tables.course(recording.recording) is not None
    ]
    written = [brief(*_of(tables, recording)) for recording in devices]
    story = [_said(tables, recording, "course", "finding") for recording in devices]
    more = [
        [one for one in told if one not in own] for told, own in zip(story, written, strict=True)
    ]
    alone = [sentences_of(tables.stated, entry.recording) for entry in tables.intake.stated_alone]
    opening = _opening(tables, devices)
    return Text(
        title=traces.finding(tables) or opening,
        description=chosen([*written, *alone], MOST_WORDS, opening, [*more, *([] for _ in alone)]),
        aloud=_aloud(tables, devices),
        figures=(
            *(line for recording in devices for line in _figures(tables, recording)),
            *_stated_figures(tables),
        ),
        sources=sources,
    )


def _aloud(tables: SessionTables, devices: list[RecordingIntake]) -> str:
    """One device's as its page has it; of several, what says most of each."""
    if len(devices) == 1:
        return " ".join(_said(tables, devices[0], "aloud"))
    return chosen([brief_aloud(*_of(tables, each)) for each in devices], WORDS_A_MINUTE)


def _opening(tables: SessionTables, devices: list[RecordingIntake]) -> str:
    """'Run, 2 April 2026: Watch and Band against Strap.'"""
    intake = tables.intake
    labels = [each.label for each in devices] + [each.label for each in intake.stated_alone]
    whom = listed([plain(label) for label in labels]) or "no device that could be compared"
    strap = plain(intake.reference.label) if intake.reference else "no strap"
    return f"{tables.outing or 'A session'}: {whom} against {strap}."


def _figures(tables: SessionTables, recording: RecordingIntake) -> list[str]:
    name, course = plain(recording.label), tables.course(recording.recording)
    assert course is not None, "only what was compared has figures"
    figures = Figures(tables.metrics)
    lines = [f"{name}, average: {average(course)}", f"{name}, maximum: {maximum(course)}"]
    lines += _left(name, course)
    for metric in registry.METRICS:
        value = figures.get(recording.recording, Scope.WHOLE, Clocks.SETTLED, metric.key).value
        if metric.key in FIGURES and value == value:
            said = number(value, metric.plus, metric.decimals)
            title, _, unit = metric.titled(tables.tolerance).rpartition(", ")
            lines.append(f"{name}, {title[:1].lower()}{title[1:]}: {said} {unit}")
    return lines


def left_of_session(tables: SessionTables) -> str:
    """What was not compared of each device, and why, as paragraphs in Markdown."""
    courses = {each.label: tables.course(each.recording) for each in tables.compared}
    return "".join(
        f"\n{escaped(line)}\n"
        for label, course in courses.items()
        if course is not None
        for line in _left(plain(label), course)
    )


def _left(name: str, course: pd.Series) -> list[str]:
    return [
        f"{name}, not compared: {sentence.removeprefix(START).strip()}"
        for sentence in left_out(course)[0]
    ]


def _stated_figures(tables: SessionTables) -> list[str]:
    rows = stated_rows(tables.intake, tables.stated).to_dict("records")
    return [f"{row['device']}, {row['figure']}: {row['said']}" for row in rows]


def _of(
    tables: SessionTables, recording: RecordingIntake
) -> tuple[str, pd.Series, pd.DataFrame, ClockDecision | None]:
    """What its sentences are made of."""
    own = tables.episodes[tables.episodes["recording"] == recording.recording]
    course = tables.course(recording.recording)
    assert course is not None, "only what was compared is told"
    return plain(recording.label), course, own, tables.clock(recording.recording)


def _said(tables: SessionTables, recording: RecordingIntake, *forms: str) -> list[str]:
    own = tables.sentences[tables.sentences["recording"] == recording.recording]
    ordered = own.sort_values("place")
    return [text for form in forms for text in ordered.loc[ordered["form"] == form, "text"]]
