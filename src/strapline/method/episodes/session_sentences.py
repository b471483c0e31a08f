"""A session's sentences as a table, from its episodes and courses."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.tables.sessions import SENTENCES
from strapline.ground.words import number, plain
from strapline.method.episodes.sentences import sentences

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision
    from strapline.ground.records.intake import SessionIntake
    from strapline.ground.records.picture import Resolution


def session_sentences(
    episodes: pd.DataFrame,
    courses: pd.DataFrame,
    intake: SessionIntake,
    clocks: Mapping[str, ClockDecision] = MappingProxyType({}),
) -> pd.DataFrame:
    """A frame under SENTENCES, from a session's frames under EPISODES and COURSES, and what was
    decided of each recording's clock."""
    labels = {entry.recording: plain(entry.label) for entry in intake.tested}
    pictures = {entry.recording: entry.resolution for entry in intake.tested}
    rows: list[dict[str, object]] = []
    for _, course in courses.iterrows():
        found = episodes[episodes["recording"] == course["recording"]]
        recording = course["recording"]
        told = sentences(labels[recording], course, found, clocks.get(recording))
        told["aside"] += _as_shown(pictures.get(recording))
        names = {name: course[name] for name in ("session", "device", "recording")}
        rows += [
            names | {"form": form, "place": place, "text": text}
            for form, texts in told.items()
            for place, text in enumerate(texts)
        ]
    return SENTENCES.from_rows(rows)


def _as_shown(picture: Resolution | None) -> Iterator[str]:
    """How finely a picture shows what was read from it."""
    if picture is not None:
        yield (
            f"It was read from a picture, which has a value every {number(picture.column_s)} s and "
            f"{number(picture.pixel_bpm, decimals=2)} bpm a pixel."
        )
        yield f"Faults shorter than {number(picture.shortest_fault_s)} s were not looked for."
