"""What the page of one session shows."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from strapline.ground import vocabulary, words
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import RecordingIntake, SessionIntake
from strapline.ground.records.ledger import SessionLedger, Tally
from strapline.ground.records.shown import anchor
from strapline.ground.settings import Tolerance
from strapline.ground.vocabulary import Clocks, Scope
from strapline.method.agreement.effort import EFFORT_BANDS
from strapline.method.metrics.figures import Figures
from strapline.method.metrics.metric import Metric
from strapline.method.metrics.sensitivity import EPOCHS_S
from strapline.telling.report import apps, phrases
from strapline.telling.report.conditions import condition_in_words
from strapline.telling.session_tables import SessionTables


def findings(
    intake: SessionIntake,
    sentences: pd.DataFrame,
    alignment: SessionAlignment,
    stated: pd.DataFrame,
) -> list[list[str]]:
    """What each device did, in order; where there was nothing to compare, what its clock says; and
    of devices without an export, what their apps state."""
    found = []
    for recording in intake.tested:
        own = _texts(recording, sentences)
        if own:
            found.append([*own["line"], *own["course"]])
            continue
        reasons = [c.reason for c in alignment.clocks if c.recording == recording.recording]
        found.append([phrases.not_compared_sentence(recording), *filter(None, reasons)])
    alone = (apps.sentences_of(stated, entry.recording) for entry in intake.stated_alone)
    return found + [told for told in alone if told]


def accounts(intake: SessionIntake, sentences: pd.DataFrame) -> list[dict[str, Any]]:
    """A device each: its findings one by one, asides on what is no fault, and all of it to be read
    aloud."""
    texts = {recording.label: _texts(recording, sentences) for recording in intake.tested}
    return [{"label": label, "aside": [], **own} for label, own in texts.items() if own]


def _texts(recording: RecordingIntake, sentences: pd.DataFrame) -> dict[str, list[str]]:
    """Its sentences by form."""
    own = sentences[sentences["recording"] == recording.recording].sort_values("place")
    return {str(form): list(part) for form, part in own.groupby("form", observed=True)["text"]}


def figure_table(
    intake: SessionIntake, figures: Figures, wanted: Sequence[Metric], tolerance: Tolerance
) -> list[tuple[str, str, list[tuple[str, str, str]]]]:
    """A row a figure: name, meaning and, a device and view each, the figure, its interval and
    where on the page of origins it stands, '' for one that is missing."""
    cells = [(r.recording, view) for r in intake.tested for view in views_of(r, figures)]
    return [
        (
            m.titled(tolerance),
            m.meaning,
            [_cell(m, figures, name, view) for name, view in cells],
        )
        for m in wanted
    ]


def without_intervals(tables: SessionTables, figures: Figures) -> list[str]:
    """A sentence a device that was compared for too little to say how sure its figures are."""
    used = {
        one.recording: one.seconds.used
        for one in tables.ledger.comparisons
        if one.alignment == Clocks.SETTLED
    }
    found = []
    for entry in tables.intake.tested:
        place = entry.recording, Scope.WHOLE, Clocks.SETTLED
        known = any(figures.get(*place, key).known for key in ("bias", "mae"))
        if known or not figures.compared(entry.recording, Clocks.SETTLED):
            continue
        compared = words.lasting(used.get(entry.recording, 0))
        stretches = words.number(tables.whole(entry.recording, "effective_n"), decimals=0)
        found.append(
            f"{words.plain(entry.label)} has no intervals: {compared} compared, with {stretches} "
            "independent stretches, are too little for one."
        )
    return found


def columns(intake: SessionIntake, figures: Figures) -> list[tuple[RecordingIntake, list[str]]]:
    """What stands above the figures: each device with its views in words."""
    return [(entry, list(views_of(entry, figures).values())) for entry in intake.tested]


def views_of(recording: RecordingIntake, figures: Figures) -> dict[str, str]:
    """The views of the clocks that there are of a device, and the word for each."""
    return {
        view: word
        for view, word in vocabulary.VIEWS.items()
        if view == Clocks.SETTLED or figures.compared(recording.recording, view)
    }


def glance_rows(tables: SessionTables, figures: Figures) -> list[dict[str, Any]]:
    """A row a device that was compared, with the averages, the error and the lateness of its first
    sentences."""
    rows = []
    for recording in tables.compared:
        course, clock = tables.course(recording.recording), tables.clock(recording.recording)
        if course is None:
            continue
        own = figures.values(recording.recording, Scope.WHOLE, Clocks.SETTLED)
        rows.append(
            {
                "label": recording.label,
                "recording": recording.recording,
                "average": course["mean_device_bpm"],
                "minus": course["mean_device_bpm"] - course["mean_reference_bpm"],
                "strap": course["mean_reference_bpm"],
                "highest": course["maximum_device_bpm"] - course["maximum_reference_bpm"],
                "error": course["error_bpm"],
                "late_s": clock.delay_s if clock and clock.delay_s is not None else math.nan,
                "within_beats": own["within_beats"],
                "within_percent": own["within_percent"],
            }
        )
    return rows


def segment_rows(intake: SessionIntake, figures: Figures) -> list[dict[str, Any]]:
    """A row a segment and device."""
    scopes = {s.label: f"{Scope.SEGMENT}{s.label}" for s in intake.segments}
    return _scope_rows(intake, figures, scopes)


def effort_rows(intake: SessionIntake, figures: Figures) -> list[dict[str, Any]]:
    """A row a band of effort and device, as far as the band was measured."""
    scopes = {words.in_words(band): f"{Scope.INTENSITY}{band}" for band in EFFORT_BANDS}
    return [
        row for row in _scope_rows(intake, figures, scopes) if not math.isnan(row["mean_reference"])
    ]


def _scope_rows(
    intake: SessionIntake, figures: Figures, scopes: Mapping[str, str]
) -> list[dict[str, Any]]:
    """`scopes`: title -> name of the scope."""
    return [
        {
            "title": title,
            "device": recording.label,
            "mae_delay_out": figures.get(recording.recording, scope, Clocks.DELAY_OUT, "mae").value,
            **figures.values(recording.recording, scope, Clocks.SETTLED),
        }
        for title, scope in scopes.items()
        for recording in intake.tested
    ]


def clock_rows(
    intake: SessionIntake, alignment: SessionAlignment, offsets: pd.DataFrame
) -> list[tuple[str, list[str]]]:
    """What was decided about each device's clock, and whether its error hangs on it."""
    labels = names(intake)
    curves = {str(name): curve for name, curve in offsets.groupby("recording", observed=True)}
    return [
        (
            labels.get(clock.recording, clock.recording),
            [
                clock.reason,
                *phrases.offset_sentences(curves.get(clock.recording)),
            ],
        )
        for clock in alignment.clocks
    ]


def reference_sentences(alignment: SessionAlignment) -> list[str]:
    """What was found of the reference, and of any other that was worn beside it."""
    own = [alignment.verdict.sentence] if alignment.verdict else []
    return own + [other.sentence for other in alignment.second_references]


def sensitivity_rows(
    intake: SessionIntake, figures: Figures
) -> list[tuple[str, list[tuple[str, dict[str, float]]]]]:
    """A device and, a way of reckoning each, the main figures as they would then read."""
    scopes: dict[str, str] = {Scope.WHOLE: "as above", Scope.UNCUT: "nothing left out"}
    scopes |= {f"{Scope.EPOCH}{length}": f"averaged over {length} s" for length in EPOCHS_S}
    rows = []
    for recording in intake.tested:
        found = [
            (name, figures.values(recording.recording, scope, Clocks.SETTLED))
            for scope, name in scopes.items()
        ]
        known = [(name, values) for name, values in found if values["mae"] == values["mae"]]
        if known:
            rows.append((recording.label, known))
    return rows


def compared_rows(intake: SessionIntake, ledger: SessionLedger) -> list[dict[str, Any]]:
    """Seconds compared and left out, a row a device and view."""
    labels = names(intake)
    return [
        {
            "device": labels.get(one.recording, one.recording),
            "view": vocabulary.VIEWS.get(one.alignment, one.alignment),
            **_tally(one.seconds),
        }
        for one in ledger.comparisons
    ]


def sample_rows(intake: SessionIntake, ledger: SessionLedger) -> list[dict[str, Any]]:
    """Samples and RR intervals kept and flagged, a row a recording and kind."""
    labels = names(intake)
    return [
        {"device": labels.get(one.recording, one.recording), "kind": kind, **_tally(tally)}
        for one in ledger.recordings
        for kind, tally in (
            ("samples", one.samples),
            ("RR intervals", one.beats),
            ("columns of the screenshot", one.columns),
        )
        if tally and (tally.total or kind == "samples")
    ]


def conditions(intake: SessionIntake) -> list[tuple[str, str]]:
    answers = {True: "yes", False: "no"}
    return [
        (condition_in_words(name), answers[value] if isinstance(value, bool) else str(value))
        for name, value in intake.conditions.items()
    ]


def names(intake: SessionIntake) -> dict[str, str]:
    """What a recording is called: its device's label."""
    return {r.recording: r.label for r in intake.recordings}


def _tally(tally: Tally) -> dict[str, Any]:
    reasons = [f"{words.in_words(why).lower()} {count}" for why, count in tally.left_out.items()]
    return {
        "total": tally.total,
        "used": tally.used,
        "left_out": tally.total - tally.used,
        "reasons": ", ".join(reasons),
    }


def _cell(metric: Metric, figures: Figures, recording: str, view: str) -> tuple[str, str, str]:
    found = figures.get(recording, Scope.WHOLE, view, metric.key)
    value, low, high = (
        words.number(x, metric.plus, metric.decimals) for x in (found.value, found.low, found.high)
    )
    interval = "" if words.MISSING in (low, high) else f"{low} to {high}"
    known = value != words.MISSING
    return value, interval, anchor(recording, view, metric.key) if known else ""
