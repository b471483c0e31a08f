"""Show where a figure comes from, and compute it a second way."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping
from typing import Any

import pandas as pd

from strapline.ground.documents import DocumentError
from strapline.ground.settings import Tolerance
from strapline.ground.tables.archive import FINDINGS, PLACEMENTS, STANDINGS
from strapline.ground.tables.sessions import WHOLE_SESSIONS
from strapline.ground.vocabulary import Clocks, Scope, StatedFigure
from strapline.keeping.made_with import is_of_this_code
from strapline.keeping.receipts import Places, read_receipt, receipt_path
from strapline.keeping.tracing.figure import traced
from strapline.keeping.tracing.finding import lines_of_finding, traced_finding
from strapline.keeping.tracing.kept import ANEW, OTHER_CODE, KeptSession
from strapline.keeping.tracing.stated import lines_of_stated, traced_stated
from strapline.keeping.tracing.wording import lines_of
from strapline.method.agreement.standings import count_over_all
from strapline.method.agreement.votes import that_count
from strapline.method.metrics.metric import Metric
from strapline.method.metrics.registry import METRICS
from strapline.running.asked import called, session_of
from strapline.running.commands import bench
from strapline.running.run_lock import must_be_at_rest

MOST_ROWS = 1000
# What a reader says, beside what pages call them.
SAID = {
    "error": "mae",
    "average error": "mae",
    "mean error": "mae",
    "average": "mean_device",
    "minus strap": "bias",
    "highest": "maximum_device",
}


def describe(parser: argparse.ArgumentParser) -> None:
    names = (f"{each.key} ({_named(each, Tolerance())})" for each in METRICS)
    parser.epilog = f"Figures, by either name: {', '.join(names)}."
    parser.add_argument("session", help=f"{bench.SESSION}; with --finding, the device")
    parser.add_argument(
        "device", help="the device's short name or label; with --finding, the activity"
    )
    parser.add_argument(
        "metric",
        type=str.lower,
        help="the figure (below), or stated_average and its like; with --finding, the statistic",
    )
    parser.add_argument(
        "--finding",
        action="store_true",
        help="trace a statistic over sessions: give device, activity and its name",
    )
    parser.add_argument(
        "--scope",
        default=Scope.WHOLE,
        help="the part of the session: whole, or such as segment:Squats",
    )
    parser.add_argument(
        "--alignment", default=Clocks.SETTLED, help="the view of the clocks: settled or delay_out"
    )
    parser.add_argument("--rows", type=_rows, default=3, help="how many rows to show")
    bench.describe(parser, bench.RESULTS, bench.INBOX)


def run(options: argparse.Namespace) -> int:
    """0 if the figure comes out as published, 1 if not; DocumentError where there is none."""
    places = bench.read(options).places
    must_be_at_rest(places.results)
    if options.finding:
        return _run_finding(places, options)
    kept = KeptSession(places, session_of(places.results, options.session))
    if options.metric in set(StatedFigure):
        return _run_stated(kept, options)
    asked = {"alignment": options.alignment, "scope": options.scope, "metric": options.metric}
    row = _published(kept, kept.metrics, options.device, asked, {"metric": _words(kept)})
    figure = traced(kept, row, options.rows)
    return _told(lines_of(figure), figure.holds)


def _told(lines: Iterable[str], holds: bool) -> int:
    for line in lines:
        print(line)
    return 0 if holds else 1


def _run_stated(kept: KeptSession, options: argparse.Namespace) -> int:
    if kept.stated.empty:
        raise DocumentError(f"No app states anything in {options.session}.")
    row = _published(kept, kept.stated, options.device, {"figure": options.metric}, {})
    figure = traced_stated(kept, row)
    return _told(lines_of_stated(figure), figure.holds)


def _run_finding(places: Places, options: argparse.Namespace) -> int:
    archive = places.results / "archive"
    if not (archive / "findings.parquet").exists():
        raise DocumentError(f"{archive} holds no findings yet. Type `snakemake` first.")
    receipt = read_receipt(receipt_path(places, "results/archive/whole_sessions.parquet"))
    if receipt is None:
        raise DocumentError(f"{archive} has no receipt; {ANEW}.")
    if not is_of_this_code(receipt):
        raise DocumentError(f"{archive} {OTHER_CODE}.")
    rows = _as_text(FINDINGS.read(archive / "findings.parquet"))
    asked = {
        "device": options.session,
        "activity": options.device,
        "alignment": options.alignment,
        "statistic": options.metric,
    }
    figures = WHOLE_SESSIONS.read(archive / "whole_sessions.parquet")
    finding = traced_finding(
        _chosen(rows, asked, {}),
        that_count(figures, PLACEMENTS.read(archive / "placements.parquet")),
        receipt.settings["criteria"],
        count_over_all(STANDINGS.read(archive / "standings.parquet")),
    )
    return _told(lines_of_finding(finding), finding.holds)


def _published(
    kept: KeptSession,
    table: pd.DataFrame,
    name: str,
    asked: Mapping[str, str],
    words: Mapping[str, Mapping[str, str]],
) -> dict[str, Any]:
    """The one row that is asked for, of a recording, or a device that was worn once."""
    rows = _as_text(table)
    recordings = set(rows["recording"])
    worn_once = rows.groupby("device")["recording"].nunique() == 1
    names = sorted(recordings | set(worn_once[worn_once].index))
    labels = {entry.label: entry.recording for entry in kept.intake.recordings}
    device = called("device", name, names, labels)
    by = "recording" if device in recordings else "device"
    return _chosen(rows, {by: device, **asked}, words)


def _words(kept: KeptSession) -> dict[str, str]:
    """What a reader and the session's pages call each figure."""
    tolerance = Tolerance.model_validate(kept.receipt("metrics.parquet").settings["tolerance"])
    return SAID | {_named(each, tolerance): each.key for each in METRICS}


def _named(metric: Metric, tolerance: Tolerance) -> str:
    return metric.named(tolerance.beats, tolerance.percent)


def _as_text(frame: pd.DataFrame) -> pd.DataFrame:
    return frame.astype(dict.fromkeys(frame.select_dtypes("category"), str))


def _chosen(
    rows: pd.DataFrame, asked: Mapping[str, str], words: Mapping[str, Mapping[str, str]]
) -> dict[str, Any]:
    """The row with these words in its columns, or what stands for them by `words`; a sentence for
    the first that is not there."""
    for column, wanted in asked.items():
        known = dict.fromkeys(rows[column])
        rows = rows[rows[column] == called(column, wanted, known, words.get(column))]
    return {str(column): value for column, value in rows.iloc[0].items()}


def _rows(text: str) -> int:
    if text.isascii() and text.isdecimal() and len(text) <= 4 and int(text) <= MOST_ROWS:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from 0 to {MOST_ROWS}")
