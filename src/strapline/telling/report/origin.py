"""Where every figure of a session's page comes from: its formula, its seconds, its raw files, and
the same figure by a path of its own."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from typing import Any

from strapline.ground.records.intake import RecordingIntake, SessionIntake
from strapline.ground.records.ledger import Tally
from strapline.ground.records.shown import anchor
from strapline.ground.report_files import ORIGIN_PAGE
from strapline.ground.settings import Tolerance
from strapline.ground.vocabulary import VIEWS, Clocks, Scope
from strapline.ground.words import exact, in_words
from strapline.keeping.tracing.recompute import equal
from strapline.keeping.tracing.seconds import Seconds, Within
from strapline.method.metrics import registry
from strapline.method.metrics.again import Near
from strapline.method.metrics.figures import Figures
from strapline.method.metrics.metric import Metric
from strapline.telling.report.apps import stated_rows
from strapline.telling.report.page import Context, Page
from strapline.telling.session_tables import SessionTables

NOT_AGAIN = "no second way"


def context(
    tables: SessionTables, made_with: str, screens: Collection[str] = frozenset()
) -> Context:
    """`made_with`: in words, by which versions; `screens`: by the names of their raw tables, the
    screenshots of which it can be shown what was read."""
    return {
        "intake": tables.intake,
        "parts": origins(tables),
        "made_with": made_with,
        "stated": [
            row | {"command": _command(tables.intake.session, row["recording"], row["key"])}
            for row in stated_rows(tables.stated, tables.intake)
        ],
        "read": [
            entry for entry in tables.intake.recordings if entry.resolution and entry.raw in screens
        ],
    }


def shown(context: Context) -> dict[str, str]:
    """The figures that the page shows, as it shows them, by their place on it."""
    return {row["anchor"]: row["value"] for part in context["parts"] for row in part["rows"]}


def origins(tables: SessionTables) -> list[dict[str, Any]]:
    """A part a device and view of the clocks, with a row a figure of the whole session."""
    intake, figures, tolerance = tables.intake, Figures(tables.metrics), tables.tolerance
    ledger, aligned = tables.ledger, tables.aligned
    near = Near(tolerance.beats, tolerance.percent)
    tallies = {(one.recording, one.alignment): one.seconds for one in ledger.comparisons}
    rows = {
        (str(name), str(view)): own
        for (name, view), own in aligned.groupby(["recording", "alignment"], observed=True)
    }
    parts = []
    for entry in intake.tested:
        for view in VIEWS:
            key = entry.recording, view
            if key not in rows or key not in tallies:
                continue
            every = [metric.key for metric in registry.METRICS]
            again = Seconds.of(rows[key]).figures(Scope.WHOLE, every, near, Within())
            parts.append(
                {
                    "label": entry.label,
                    "view": VIEWS[view],
                    "seconds": _account(tallies[key]),
                    "files": _files(intake, entry),
                    "rows": [
                        _row(metric, entry, view, figures, again, tolerance)
                        | {"command": _command(intake.session, entry.recording, metric.key, view)}
                        for metric in registry.METRICS
                        if _is_known(
                            figures.get(entry.recording, Scope.WHOLE, view, metric.key).value
                        )
                        or _is_known(again.get(metric.key))
                    ],
                }
            )
    return parts


def _row(
    metric: Metric,
    entry: RecordingIntake,
    view: str,
    figures: Figures,
    again: Mapping[str, float],
    tolerance: Tolerance,
) -> dict[str, str]:
    value = figures.get(entry.recording, Scope.WHOLE, view, metric.key).value
    known = metric.key in again
    result = "equal" if known and equal(value, again[metric.key]) else "not equal"
    return {
        "anchor": anchor(entry.recording, view, metric.key),
        "title": metric.titled(tolerance),
        "formula": metric.reckoned(tolerance.beats, tolerance.percent),
        "source": metric.source,
        "value": exact(value),
        "again": exact(again[metric.key]) if known else NOT_AGAIN,
        "result": result if known else "",
    }


def _is_known(value: float | None) -> bool:
    return value is not None and not math.isnan(value)


def _account(tally: Tally) -> str:
    reasons = [f"{in_words(why).lower()} {count}" for why, count in tally.left_out.items()]
    left_out = f", left out: {', '.join(reasons)}" if reasons else ""
    return f"{tally.used} of {tally.total} seconds compared{left_out}."


def _files(intake: SessionIntake, entry: RecordingIntake) -> list[tuple[str, str]]:
    sides = [side for side in (intake.reference, entry) if side is not None]
    return [(side.file, side.sha256) for side in sides]


def _command(session: str, recording: str, metric: str, view: str = Clocks.SETTLED) -> str:
    """By the recording, for another device may be called as this one's file is."""
    other = "" if view == Clocks.SETTLED else f" --alignment {view}"
    return f"strapline trace {session} {recording} {metric}{other}"


ORIGIN = Page(ORIGIN_PAGE, "session_page", "origin.html", context)
