"""Gather sessions: what some sessions are, and how their clocks were set -> one file."""

from __future__ import annotations

from strapline.ground.files import read_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.described import Described, write_described
from strapline.ground.records.intake import read_intake
from strapline.ground.tables.sessions import ALIGNED


def run(*, intakes: list[str], clocks: list[str], aligned: list[str], described: str) -> None:
    sessions = zip(intakes, clocks, aligned, strict=True)
    write_described(described, [_described(*paths) for paths in sessions])


def _described(intake: str, clocks: str, aligned: str) -> Described:
    time = ALIGNED.read(aligned, "time")["time"]
    return Described(
        intake=read_intake(intake).without_file_names(),
        alignment=read_model(clocks, SessionAlignment),
        first=time.min() if len(time) else None,
        last=time.max() if len(time) else None,
    )
