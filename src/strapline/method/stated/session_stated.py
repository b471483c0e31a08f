"""What apps state of a session, as a table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.records.marks import unmarked
from strapline.ground.tables.sessions import STATED
from strapline.ground.words import plain
from strapline.method.signal.grid import times_of
from strapline.method.signal.reference_trial import try_reference
from strapline.method.signal.trace import NOTHING, Trace
from strapline.method.stated.beside_export import beside_export
from strapline.method.stated.beside_strap import beside_strap
from strapline.method.stated.held import UNITS, Held

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake
    from strapline.ground.settings import Reference


def believed_strap(
    intake: SessionIntake,
    rates: Mapping[str, pd.DataFrame],
    longest_gap_s: float,
    limits: Reference,
) -> Trace:
    """What stated figures are held against where there is no export; without values where nothing
    is stated, or the session has no strap. `rates`: as `exports` below."""
    entry = intake.reference
    if not intake.stated or entry is None or intake.set_aside is not None:
        return NOTHING
    return try_reference(rates[entry.recording], (), longest_gap_s, limits).believed


def session_stated(
    intake: SessionIntake, exports: Mapping[str, pd.DataFrame], strap: Trace
) -> pd.DataFrame:
    """A frame under STATED. `exports`: the session's frames under NORMALISED by recording; `strap`:
    see `believed_strap`."""
    rows: list[dict[str, object]] = []
    pictured = {each.recording for each in intake.recordings if each.picture}
    for entry in intake.stated:
        names = intake.names(entry.recording, entry.device)
        if entry.has_export:
            trace = Trace.of(exports[entry.recording])
            noun = "screenshot" if entry.recording in pictured else "export"
            beside = beside_export(plain(entry.label), entry.figures, trace, noun)
            rows += [_row(names, held) for held in beside]
        elif strap.time_s.size:
            begins_s = entry.starts_at.timestamp() if entry.starts_at else strap.begins_s
            label = plain(unmarked(entry.label))
            beside = beside_strap(label, entry.figures, strap, begins_s)
            began = {"began": times_of(np.array([begins_s]))[0]}
            rows += [_row(names, held) | began for held in beside]
    return STATED.from_rows(rows)


def _row(names: dict[str, str], held: Held) -> dict[str, object]:
    return names | {
        "figure": held.figure,
        "against": held.against,
        "unit": UNITS[held.figure],
        "stated": held.stated,
        "measured": held.measured,
        "difference": held.difference,
        "rounding": held.rounding,
        "over_s": held.over_s,
        "sentence": held.sentence,
    }
