"""Settings: one frozen section a topic; a stage is given only the sections it names."""

import os
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from strapline.documents import COLOUR_PATTERN, load

Colour = Annotated[str, Field(pattern=COLOUR_PATTERN)]
Positive = Annotated[float, Field(gt=0)]
Seconds = Annotated[int, Field(ge=1, le=600)]
Share = Annotated[float, Field(ge=0, le=1)]


class Section(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Clock(Section):
    time_zone: str = "UTC"


class Plausibility(Section):
    lowest_bpm: float = 30
    highest_bpm: float = 240


class RrIntervals(Section):
    window_s: Positive = 5
    largest_change: Share = 0.4


class Grid(Section):
    longest_gap_s: Positive = 10


class Alignment(Section):
    search_s: Annotated[int, Field(ge=0, le=600)] = 90
    shortest_overlap_s: Positive = 60
    largest_doubt_s: Positive = 1.6
    lowest_closeness: Share = 0.75
    smallest_lead: Share = 0.03


class Tolerance(Section):
    beats: Positive = 5
    percent: Positive = 10


class Episodes(Section):
    enter_bpm: Positive = 10
    leave_bpm: Positive = 5
    shortest_s: Seconds = 10
    bridge_s: Seconds = 5
    spike_bpm: Positive = 20
    spike_longest_s: Seconds = 12
    stuck_s: Seconds = 15
    no_value_s: Seconds = 10
    cadence_within_bpm: Positive = 4
    cadence_s: Seconds = 20
    slow_s: Seconds = 5


class Presentation(Section):
    title: Annotated[str, Field(max_length=120)] = "Heart rate on the wrist, against the strap"
    credit: Annotated[str, Field(max_length=120)] = ""
    ink: Colour = "#1d2433"
    paper: Colour = "#ffffff"
    reference: Colour = "#1d2433"
    devices: Annotated[tuple[Colour, ...], Field(min_length=2)] = (
        "#b3460f",
        "#0b6e9e",
        "#7a4fa3",
        "#5c7a1f",
    )
    band: Colour = "#e9e4d8"


class Settings(Section):
    """All of `settings.yaml`; what it leaves out has the value given here."""

    clock: Clock = Clock()
    plausibility: Plausibility = Plausibility()
    rr_intervals: RrIntervals = RrIntervals()
    grid: Grid = Grid()
    alignment: Alignment = Alignment()
    tolerance: Tolerance = Tolerance()
    episodes: Episodes = Episodes()
    presentation: Presentation = Presentation()

    def only(self, names: tuple[str, ...]) -> dict[str, Any]:
        """The sections of these names, as keyword arguments of a step."""
        return {name: getattr(self, name) for name in names}


def load_settings(path: str | os.PathLike[str]) -> Settings:
    """Settings from a file. Raises DocumentError with a sentence for every mistake in it."""
    return load(path, Settings)
