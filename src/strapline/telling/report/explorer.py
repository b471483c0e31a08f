"""The seconds of a session as a page can look into them, once somebody wants to: those of a long
one weigh more than all else on it."""

from __future__ import annotations

import json
from typing import Any

import pandas as pd

from strapline.ground.records.intake import SessionIntake
from strapline.ground.vocabulary import Status
from strapline.ground.words import plain
from strapline.method.signal.spacing import is_line, usual_s
from strapline.method.signal.spans import spans_of
from strapline.telling.charts.seconds import by_second
from strapline.telling.charts.tenth import number
from strapline.telling.session_tables import compared


def seconds_of(aligned: pd.DataFrame, intake: SessionIntake) -> dict[str, Any] | None:
    """Heart rates in bpm by second from the session's first, None where missing, and of each device
    the spans that are not compared and whether it reports too `seldom` for a figure by the second.
    None where nothing was compared.

    `aligned` keeps the ALIGNED contract and holds one view of the clocks.
    """
    shown = compared(aligned, intake)
    if not shown or intake.reference is None:
        return None
    table = by_second(aligned, [recording.recording for recording in shown])
    devices = []
    for place, recording in enumerate(shown):
        own = aligned[aligned["recording"] == recording.recording]
        stands_for_s = own.loc[own["status"] == Status.COMPARED, "stands_for_s"].to_numpy()
        devices.append(
            {
                "label": plain(recording.label),
                "rate": _numbers(table[f"rate_{place}"]),
                "left_out": _left_out(table[f"difference_{place}"]),
                "seldom": not is_line(usual_s(stands_for_s)),
            }
        )
    return {
        "label": plain(intake.reference.label),
        "reference": _numbers(table["reference"]),
        "devices": devices,
    }


def as_script(seconds: dict[str, Any] | None) -> str:
    """The script that a page loads: from `file://` no page may read anything else."""
    text = json.dumps(seconds, ensure_ascii=False, separators=(",", ":"))
    return f'"use strict";\nconst SECONDS = {text};\n'


def _numbers(values: pd.Series) -> list[Any]:
    return [number(value) for value in values.tolist()]


def _left_out(difference: pd.Series) -> list[tuple[int, int]]:
    return spans_of(difference.isna().to_numpy())
