"""Show where a published figure comes from, and reckon it anew from its rows."""

from __future__ import annotations

import argparse
import difflib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pandas as pd

from strapline.charts.text import plain
from strapline.documents import DocumentError
from strapline.receipts import Places
from strapline.tracing.figure import traced
from strapline.tracing.kept import KeptSession
from strapline.tracing.wording import lines_of

MOST_LISTED = 40


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("session", help="the session, as its page is called")
    parser.add_argument("device", help="the device's short name, or the recording's")
    parser.add_argument("metric", help="the figure, such as mae or bias")
    parser.add_argument("--scope", default="whole", help="such as whole or segment:Squats")
    parser.add_argument(
        "--alignment",
        default="aligned",
        choices=["aligned", "as_recorded"],
        help="view of the clocks",
    )
    parser.add_argument("--rows", type=int, default=3, help="how many rows to show")
    parser.add_argument(
        "--results", type=Path, default=Path("results"), help="folder of the results"
    )
    parser.add_argument("--inbox", type=Path, default=Path("inbox"), help="folder of the exports")


def run(options: argparse.Namespace) -> int:
    """0 if the figure comes out as published, 1 if not; DocumentError where there is none."""
    sessions = sorted(path.parent.name for path in options.results.glob("sessions/*/ledger.json"))
    _among("session", options.session, sessions)
    kept = KeptSession(Places(options.results, options.inbox), options.session)
    figure = traced(kept, _published(kept.metrics, options), max(options.rows, 0))
    for line in lines_of(figure):
        print(line)
    return 0 if figure.holds else 1


def _published(metrics: pd.DataFrame, options: argparse.Namespace) -> dict[str, Any]:
    """The one row that is asked for."""
    rows = metrics.astype(dict.fromkeys(metrics.select_dtypes("category"), str))
    recordings = set(rows["recording"])
    worn_once = rows.groupby("device")["recording"].nunique() == 1
    names = sorted(recordings | set(worn_once[worn_once].index))
    _among("device", options.device, names)
    by = "recording" if options.device in recordings else "device"
    for column, wanted in (
        (by, options.device),
        ("alignment", options.alignment),
        ("scope", options.scope),
        ("metric", options.metric),
    ):
        _among(column, wanted, list(dict.fromkeys(rows[column])))
        rows = rows[rows[column] == wanted]
    return {str(column): value for column, value in rows.iloc[0].items()}


def _among(kind: str, wanted: str, known: Iterable[str]) -> None:
    """Raise a sentence that lists what there is, where `wanted` is not among it."""
    names = list(known)
    if wanted in names:
        return
    near = difflib.get_close_matches(wanted, names, n=1)
    hint = f" Did you mean '{near[0]}'?" if near else ""
    more = f" and {len(names) - MOST_LISTED} more" if len(names) > MOST_LISTED else ""
    listed = ", ".join(map(plain, names[:MOST_LISTED])) or "none"
    raise DocumentError([f"there is no {kind} '{plain(wanted)}'.{hint} There are: {listed}{more}."])
