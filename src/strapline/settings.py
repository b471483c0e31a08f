"""Settings: one frozen section a topic; a stage is given only the sections it names."""

import os
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, RootModel, model_validator

from strapline.documents import COLOUR_PATTERN, Heading, Word, load
from strapline.zones import Zone

Colour = Annotated[str, Field(pattern=COLOUR_PATTERN)]
Positive = Annotated[float, Field(gt=0)]
Factor = Annotated[float, Field(gt=1)]
Seconds = Annotated[int, Field(ge=1, le=600)]
Share = Annotated[float, Field(ge=0, le=1)]


class Section(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Clock(Section):
    time_zone: Zone = "UTC"


class HeadingWords(Section):
    """More headings for each meaning of `strapline.formats.headings`."""

    time: tuple[Heading, ...] = ()
    date: tuple[Heading, ...] = ()
    elapsed: tuple[Heading, ...] = ()
    heart_rate: tuple[Heading, ...] = ()
    cadence: tuple[Heading, ...] = ()
    rr_interval: tuple[Heading, ...] = ()

    @model_validator(mode="after")
    def _each_once(self) -> "HeadingWords":
        words = [word.casefold() for meaning in self.model_dump().values() for word in meaning]
        if len(set(words)) < len(words):
            raise ValueError("must give each heading one meaning, and once")
        return self


class Activities(RootModel[dict[Word, tuple[Heading, ...]]]):
    """An activity of the bench, and the words exports use for it."""

    model_config = ConfigDict(frozen=True)

    # Sports of the FIT profile, and Biking of TCX. FIT's 'training' may be any kind of it.
    root: dict[Word, tuple[Heading, ...]] = {
        "run": ("running",),
        "ride": ("cycling", "biking"),
        "walk": ("walking",),
        "hike": ("hiking",),
        "swim": ("swimming",),
        "row": ("rowing",),
    }

    @model_validator(mode="after")
    def _each_once(self) -> "Activities":
        words = [word.casefold() for words in self.root.values() for word in words]
        if len(set(words)) < len(words):
            raise ValueError("must give each word to one activity, and once")
        return self


class Plausibility(Section):
    lowest_bpm: float = 30
    highest_bpm: float = 240


class RrIntervals(Section):
    window_s: Positive = 5
    largest_change: Share = 0.4


class Reference(Section):
    longest_flat_s: Positive = 60
    longest_flat_fine_s: Positive = 10
    largest_step_bpm: Positive = 15
    largest_rise: Factor = 1.75
    largest_fall: Factor = 1.5
    largest_artefact_share: Share = 0.2
    settle_s: Positive = 5
    largest_doubtful_share: Share = 0.25


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


class Intervals(Section):
    replicates: Annotated[int, Field(ge=200, le=10_000)] = 1000
    fewest_independent: Annotated[float, Field(ge=3)] = 30


class Effort(Section):
    formula: Literal["tanaka_2001", "nes_2013"] = "tanaka_2001"
    fewest_seconds: Positive = 60


class Alarm(Section):
    percent: Annotated[float, Field(gt=0, le=100)] = 85


class Criteria(Section):
    """What a session must reach to meet each published criterion; percent."""

    mape_below: Positive = 10
    time_within: Annotated[float, Field(gt=0, le=100)] = 90
    concordance: Annotated[float, Field(gt=0, lt=1)] = 0.9


class Equivalence(Section):
    margin_bpm: Positive = 5
    alpha: Annotated[float, Field(gt=0, lt=0.5)] = 0.05


class Grounds(Section):
    fewest_sessions: Annotated[int, Field(ge=1)]
    fewest_wearers: Annotated[int, Field(ge=1)]
    fewest_minutes: Annotated[float, Field(ge=0)]

    def met_by(self, sessions: int, wearers: int, minutes: float) -> bool:
        """`wearers` are those somebody stated; a session nobody states was worn by somebody."""
        return (
            sessions >= self.fewest_sessions
            and max(wearers, 1) >= self.fewest_wearers
            and minutes >= self.fewest_minutes
        )


class Claims(Section):
    """What a sentence must rest on to say that a device tends to do something, or does it."""

    tends: Grounds = Grounds(fewest_sessions=3, fewest_wearers=1, fewest_minutes=60)
    does: Grounds = Grounds(fewest_sessions=8, fewest_wearers=3, fewest_minutes=240)


class Plan(Section):
    """A test to be: whom and what it compares, and how well its bias, or limits, are to be known.

    Without devices those of the register are planned that are no reference; without activities
    or wearers, those recorded so far.
    """

    devices: tuple[Word, ...] = ()
    activities: tuple[Word, ...] = ()
    wearers: tuple[Word, ...] = ()
    know: Literal["bias", "limit"] = "bias"
    half_width_bpm: Positive = 2
    assurance: Annotated[float, Field(ge=0.5, lt=1)] = 0.9

    @model_validator(mode="after")
    def _each_once(self) -> "Plan":
        for names in (self.devices, self.activities, self.wearers):
            if len(set(names)) < len(names):
                raise ValueError("must name each device, activity and wearer once")
        return self


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
    headings: HeadingWords = HeadingWords()
    activities: Activities = Activities()
    plausibility: Plausibility = Plausibility()
    rr_intervals: RrIntervals = RrIntervals()
    reference: Reference = Reference()
    grid: Grid = Grid()
    alignment: Alignment = Alignment()
    tolerance: Tolerance = Tolerance()
    intervals: Intervals = Intervals()
    effort: Effort = Effort()
    alarm: Alarm = Alarm()
    criteria: Criteria = Criteria()
    equivalence: Equivalence = Equivalence()
    claims: Claims = Claims()
    plan: Plan = Plan()
    episodes: Episodes = Episodes()
    presentation: Presentation = Presentation()

    def only(self, names: tuple[str, ...]) -> dict[str, Any]:
        """The sections of these names, as keyword arguments of a step."""
        return {name: getattr(self, name) for name in names}


def load_settings(path: str | os.PathLike[str]) -> Settings:
    """Settings from a file. Raises DocumentError with a sentence for every mistake in it."""
    return load(path, Settings)
