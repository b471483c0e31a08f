"""A session's sentences as a table, from its episodes and courses."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.tables.sessions import SENTENCES
from strapline.ground.words import plain
from strapline.method.episodes.sentences import sentences

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision
    from strapline.ground.records.intake import SessionIntake


def session_sentences(
    episodes: pd.DataFrame,
    courses: pd.DataFrame,
    intake: SessionIntake,
    clocks: Mapping[str, ClockDecision] = MappingProxyType({}),
) -> pd.DataFrame:
    """A frame under SENTENCES, from a session's frames under EPISODES and COURSES, and what was
    decided of each recording's clock."""
    labels = {entry.recording: plain(entry.label) for entry in intake.tested}
    rows: list[dict[str, object]] = []
    for _, course in courses.iterrows():
        found = episodes[episodes["recording"] == course["recording"]]
        told = sentences(
            labels[course["recording"]], course, found, clocks.get(course["recording"])
        )
        names = {name: course[name] for name in ("session", "device", "recording")}
        texts = {
            "title": [told.title],
            "line": list(told.lines),
            "course": list(told.course),
            "finding": list(told.findings),
            "aside": list(told.asides),
            "aloud": [told.aloud],
        }
        rows += [
            names | {"form": form, "place": place, "text": text}
            for form, sentences in texts.items()
            for place, text in enumerate(sentences)
        ]
    return SENTENCES.from_rows(rows)
