"""Gather sessions: what some sessions are, and how their clocks were set -> one file."""

from __future__ import annotations

import pandas as pd

from strapline.ground.files import read_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.described import Described, write_described
from strapline.ground.records.intake import read_intake
from strapline.ground.tables.sessions import ALIGNED, STATED


def run(
    *, intakes: list[str], clocks: list[str], aligned: list[str], stated: list[str], described: str
) -> None:
    sessions = zip(intakes, clocks, aligned, stated, strict=True)
    write_described(described, [_described(*paths) for paths in sessions])


def _described(intake: str, clocks: str, aligned: str, stated: str) -> Described:
    """Where nothing but an app's figures was compared, the session is as long as these are of."""
    time = ALIGNED.read(aligned, "time")["time"]
    if not len(time):
        held = STATED.read(stated, "began", "over_s").dropna(subset=["began"])
        time = pd.concat([held["began"], held["began"] + pd.to_timedelta(held["over_s"], unit="s")])
    return Described(
        intake=read_intake(intake).without_file_names(),
        alignment=read_model(clocks, SessionAlignment),
        first=time.min() if len(time) else None,
        last=time.max() if len(time) else None,
    )
