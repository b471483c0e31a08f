"""A session's ledger, figures and pages against its tables."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

import pandas as pd

from strapline.ground.files import UnfitResult, read_model
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.records.shown import ShownFigures, anchor
from strapline.ground.report_files import ORIGIN_PAGE, SESSION_PAGE, SHOWN_FIGURES
from strapline.ground.tables.sessions import ALIGNED
from strapline.ground.vocabulary import Scope, Status
from strapline.ground.words import exact
from strapline.keeping.tracing.kept import KeptSession
from strapline.keeping.tracing.recompute import not_equal
from strapline.keeping.tracing.seconds import Seconds, Within
from strapline.keeping.verification.problem import Outcome
from strapline.method.metrics.again import Near


def check_session_figures(kept: KeptSession, near: Near, outcome: Outcome) -> None:
    """Raises UnfitResult where a file is none of ours."""
    name = f"results/sessions/{kept.session}"
    aligned = ALIGNED.read(kept.folder / "aligned.parquet")
    views = {
        (str(recording), str(view)): rows
        for (recording, view), rows in aligned.groupby(["recording", "alignment"], observed=True)
    }
    try:
        _check_ledger(kept, views, f"{name}/ledger.json", outcome)
    except UnfitResult as error:
        outcome.add(f"{name}/ledger.json", f"Does not add up: {error.reason}.")
        return
    figures = _figures(kept.metrics)
    _check_values(kept, figures, views, near, outcome)
    published = {
        anchor(recording, view, metric): value
        for (recording, view, scope), values in figures.items()
        if scope == Scope.WHOLE
        for metric, value in values.items()
    }
    path = kept.places.results / "report" / SHOWN_FIGURES.format(kept.session)
    # `publish` alone makes no pages; that pages which were made are still there, receipts tell.
    if path.exists():
        shown = read_model(path, ShownFigures)
        _check_page(SESSION_PAGE.format(kept.session), shown.page, published, outcome)
        _check_page(ORIGIN_PAGE.format(kept.session), shown.origin, published, outcome)


def _check_page(
    page: str, shown: Mapping[str, str], published: Mapping[str, float], outcome: Outcome
) -> None:
    """That each figure on a page is the table's, as far as it is printed."""
    for place, printed in shown.items():
        outcome.figures += 1
        if not _shows(printed, published.get(place)):
            known = exact(published[place]) if place in published else "not there"
            outcome.add(
                f"results/report/{page}: {place} is {printed}, in the table {known}",
                "Shows another figure than the table has.",
            )


def _check_ledger(
    kept: KeptSession, views: dict[tuple[str, str], pd.DataFrame], name: str, outcome: Outcome
) -> None:
    """That it sums, and says what the tables hold."""
    ledger: SessionLedger = kept.ledger
    for one in ledger.comparisons:
        rows = views.get((one.recording, one.alignment))
        held = 0 if rows is None else len(rows)
        used = 0 if rows is None else int((rows["status"] == Status.COMPARED).sum())
        if (one.seconds.total, one.seconds.used) != (held, used):
            outcome.add(
                f"{name}: {one.recording}, {one.alignment}",
                "Counts other seconds than the table has.",
            )
    for account in ledger.recordings:
        entry = next(r for r in kept.intake.recordings if r.recording == account.recording)
        counts = {
            "samples": (len(kept.raw.samples_of(entry)), account.samples.total),
            "RR intervals": (len(kept.raw.beats_of(entry)), account.beats.total),
        }
        for kind, (there, counted) in counts.items():
            if there != counted:
                outcome.add(
                    f"{name}: {account.recording}", f"Counts other {kind} than the raw table holds."
                )


def _check_values(
    kept: KeptSession,
    figures: dict[tuple[str, str, str], dict[str, float]],
    views: dict[tuple[str, str], pd.DataFrame],
    near: Near,
    outcome: Outcome,
) -> None:
    """That every figure with a short path comes out as it stands in the table."""
    every = {key: Seconds.of(rows) for key, rows in views.items()}
    for (recording, view, scope), values in figures.items():
        others = {name: seconds for (name, other), seconds in every.items() if other == view}
        within = Within(kept.intake.segments, kept.maximum_bpm, others)
        again = every[recording, view].figures(scope, values, near, within)
        outcome.figures += len(again)
        for metric in not_equal(values, again):
            outcome.add(
                f"results/sessions/{kept.session}/metrics.parquet: {metric} of {recording}, "
                f"{scope}, {view}: {exact(values[metric])}, by its rows {exact(again[metric])}",
                "Holds a figure that its rows do not give.",
            )


def _figures(metrics: pd.DataFrame) -> dict[tuple[str, str, str], dict[str, float]]:
    """By recording, view and scope, and then by metric."""
    found: dict[tuple[str, str, str], dict[str, float]] = defaultdict(dict)
    names = (metrics[name].astype(str) for name in ("recording", "alignment", "scope", "metric"))
    for recording, view, scope, metric, value in zip(*names, metrics["value"], strict=True):
        found[recording, view, scope][metric] = value
    return found


def _shows(shown: str, value: float | None) -> bool:
    """Whether a number as printed is a value, to half of its last digit."""
    text = shown.replace("−", "-")
    if value is None or pd.isna(value):
        return value is not None and text == exact(value)
    try:
        printed = float(text)
    except ValueError:
        return False
    mantissa, _, power = text.partition("e")
    digits = len(mantissa.partition(".")[2]) - int(power or 0)
    return abs(printed - value) <= 0.5 / 10.0**digits * (1 + 1e-6)
