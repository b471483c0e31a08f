"""All that charts and pages about one session draw on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, partial

import pandas as pd

from strapline.ground.files import read_model
from strapline.ground.records.alignment import ClockDecision, SessionAlignment
from strapline.ground.records.intake import RecordingIntake, SessionIntake, read_intake
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.settings import Tolerance
from strapline.ground.tables.sessions import (
    ALIGNED,
    CONSEQUENCES,
    COURSES,
    EPISODES,
    METRICS,
    OFFSETS,
    SENTENCES,
    STATED,
)
from strapline.ground.vocabulary import UNSTATED, Clocks, Scope, Status
from strapline.ground.words import day, in_words, plain
from strapline.telling.kept import kept, read_from, rows_of


def _no_clocks() -> SessionAlignment:
    return SessionAlignment(session="", reference=None, clocks=())


def _no_ledger() -> SessionLedger:
    return SessionLedger(session="", recordings=(), comparisons=())


@dataclass(frozen=True)
class Measured:
    """A figure and its 95 % interval; the interval is NaN where there is none."""

    value: float
    low: float
    high: float

    @property
    def known(self) -> bool:
        return not (math.isnan(self.low) or math.isnan(self.high))


# Each is itself alone, so that what several pictures draw on can be kept of it.
@dataclass(frozen=True, eq=False)
class SessionTables:
    """What a session consists of, what was decided of its clocks, where its seconds went, and its
    tables, each under its contract and, where it has them, in both views of the clocks; without
    rows where nothing was compared. `worn_by`: what its wearer is called, '' where that is not
    said."""

    intake: SessionIntake
    tolerance: Tolerance
    clocks: SessionAlignment = kept(partial(read_model, kind=SessionAlignment), _no_clocks)
    ledger: SessionLedger = kept(partial(read_model, kind=SessionLedger), _no_ledger)
    aligned: pd.DataFrame = rows_of(ALIGNED)
    metrics: pd.DataFrame = rows_of(METRICS)
    offsets: pd.DataFrame = rows_of(OFFSETS)
    episodes: pd.DataFrame = rows_of(EPISODES)
    courses: pd.DataFrame = rows_of(COURSES)
    sentences: pd.DataFrame = rows_of(SENTENCES)
    consequences: pd.DataFrame = rows_of(CONSEQUENCES)
    stated: pd.DataFrame = rows_of(STATED)
    worn_by: str = ""

    @classmethod
    def read(
        cls, files: Mapping[str, str], tolerance: Tolerance, needed: Iterable[str]
    ) -> SessionTables:
        """With what is `needed` beside its intake; see `read_from`."""
        return cls(read_intake(files["intake"]), tolerance, **read_from(cls, files, needed))

    @property
    def started_at(self) -> pd.Timestamp | None:
        """The first second compared; without one, that from which on an app's figures are held
        against the strap."""
        times = self.aligned["time"] if len(self.aligned) else self.stated["began"].dropna()
        return times.min() if len(times) else None

    @property
    def outing(self) -> str:
        """'Run, 2 April 2026', as far as both are known."""
        activity = self.intake.activity
        what = [in_words(activity)] if activity != UNSTATED else []
        when = [day(self.started_at)] if self.started_at is not None else []
        return ", ".join([*what, *when])

    def course(self, recording: str) -> pd.Series | None:
        """Its row of COURSES."""
        own = self.courses[self.courses["recording"] == recording]
        return own.iloc[0] if len(own) else None

    def clock(self, recording: str) -> ClockDecision | None:
        """What was decided of its clock."""
        return next((c for c in self.clocks.clocks if c.recording == recording), None)

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

    @cached_property
    def measured(self) -> dict[str, dict[str, Measured]]:
        """By recording and metric, every figure over the whole session that is defined."""
        rows = self.metrics.loc[
            (self.metrics["alignment"] == Clocks.SETTLED)
            & (self.metrics["scope"] == Scope.WHOLE)
            & self.metrics["value"].notna(),
            ["recording", "metric", "value", "ci_low", "ci_high"],
        ]
        found: dict[str, dict[str, Measured]] = {}
        for recording, metric, *ends in rows.itertuples(index=False):
            found.setdefault(recording, {})[metric] = Measured(*ends)
        return found

    def whole(self, recording: str, metric: str) -> float:
        """A figure over the whole session; NaN where the table does not have it."""
        own = self.measured.get(recording, {}).get(metric)
        return own.value if own else math.nan

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
