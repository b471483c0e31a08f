"""All that charts and pages about one session draw on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import pandas as pd

from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import RecordingIntake, SessionIntake
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.settings import Tolerance
from strapline.ground.tables.sessions import (
    ALIGNED,
    CONSEQUENCES,
    EPISODES,
    METRICS,
    OFFSETS,
    SENTENCES,
)
from strapline.ground.vocabulary import UNSTATED, Clocks, Status
from strapline.ground.words import in_words, plain


@dataclass(frozen=True)
class SessionTables:
    """What a session consists of, what was decided of its clocks, where its seconds went, and its
    tables, each under its contract and, where it has them, in both views of the clocks."""

    intake: SessionIntake
    tolerance: Tolerance
    clocks: SessionAlignment
    ledger: SessionLedger
    aligned: pd.DataFrame
    metrics: pd.DataFrame
    offsets: pd.DataFrame
    episodes: pd.DataFrame
    sentences: pd.DataFrame
    consequences: pd.DataFrame

    @classmethod
    def without_rows(cls, intake: SessionIntake, tolerance: Tolerance) -> SessionTables:
        """Of a session in which nothing was compared."""
        return cls(
            intake,
            tolerance,
            SessionAlignment(session=intake.session, reference=None, clocks=()),
            SessionLedger(session=intake.session, recordings=(), comparisons=()),
            ALIGNED.empty(),
            METRICS.empty(),
            OFFSETS.empty(),
            EPISODES.empty(),
            SENTENCES.empty(),
            CONSEQUENCES.empty(),
        )

    @cached_property
    def seconds(self) -> pd.DataFrame:
        """ALIGNED in the view that pictures show."""
        return self.aligned[self.aligned["alignment"] == Clocks.SETTLED]

    @cached_property
    def told(self) -> pd.DataFrame:
        """CONSEQUENCES in the view that pictures show."""
        return self.consequences[self.consequences["alignment"] == Clocks.SETTLED]

    @cached_property
    def compared(self) -> list[RecordingIntake]:
        """The tested recordings with a compared second in that view, in the order of the card."""
        return compared(self.seconds, self.intake)

    def headed(self, title: str) -> str:
        """A picture's title after the activity, where one is stated; a name keeps its capital."""
        activity = self.intake.activity
        if activity == UNSTATED:
            return title
        named = any(title.startswith(plain(recording.label)) for recording in self.intake.tested)
        first = title[:1] if named else title[:1].lower()
        return f"{in_words(activity)}: {first}{title[1:]}"


def compared(aligned: pd.DataFrame, intake: SessionIntake) -> list[RecordingIntake]:
    """The tested recordings with a compared second among rows of ALIGNED, as the card has them."""
    names = set(aligned.loc[aligned["status"] == Status.COMPARED, "recording"].unique())
    return [recording for recording in intake.tested if recording.recording in names]
