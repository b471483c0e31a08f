"""What an app shows of a session, as the tester types it."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

from pydantic import model_validator

from strapline.ground.documents import Strict, between
from strapline.ground.records.elapsed import Elapsed

_Rate = Annotated[float, between(20, 300)]


class Stated(Strict):
    """Average, highest and lowest heart rate, and how long the app says that it recorded."""

    average_bpm: _Rate | None = None
    maximum_bpm: _Rate | None = None
    minimum_bpm: _Rate | None = None
    duration: Elapsed | None = None

    @model_validator(mode="after")
    def _in_order(self) -> Stated:
        rising = [
            rate
            for rate in (self.minimum_bpm, self.average_bpm, self.maximum_bpm)
            if rate is not None
        ]
        if not rising:
            raise ValueError("must state average_bpm, maximum_bpm or minimum_bpm")
        if rising != sorted(rising):
            raise ValueError(
                "must have 'minimum_bpm' at most 'average_bpm', and that at most 'maximum_bpm'"
            )
        if self.duration == 0:
            raise ValueError("must have 'duration' above 0, such as '24:30'")
        return self


class StatedIntake(Strict):
    """What one device's app states of a session.

    `recording` is that of its export, where it has one that can be used, else a name of its own;
    `starts_at`, in UTC, when the card says that it began.
    """

    recording: str
    device: str
    label: str
    device_kind: str
    placement: str
    firmware: str | None
    figures: Stated
    has_export: bool
    starts_at: dt.datetime | None = None

    @property
    def stands_alone(self) -> bool:
        """Whether it stands for the device: without an export, and with what can be compared."""
        comparable = self.figures.average_bpm, self.figures.maximum_bpm
        return not self.has_export and any(comparable)
