"""Settings: one frozen section a topic; a stage is given only the sections it names."""

import re
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, RootModel, model_validator

from strapline.ground.colours import Colour, contrast
from strapline.ground.documents import Heading, Strict, Word, between
from strapline.ground.vocabulary import MaximumSource
from strapline.ground.zones import Zone

# Rates and errors in heart rate, bpm; a heart's whole span is about 200.
Error = Annotated[float, between(0.5, 100)]
Percent = Annotated[float, between(0.5, 100)]
# How much a pulse may change at once, as a factor: less is the rounding of a whole beat.
Factor = Annotated[float, between(1.05, 5)]
Seconds = Annotated[int, between(1, 600)]
Share = Annotated[float, between(0, 1)]


def _each_once(names: tuple[str, ...]) -> tuple[str, ...]:
    if len(set(names)) < len(names):
        raise ValueError("must name each once")
    return names


Distinct = Annotated[tuple[Word, ...], AfterValidator(_each_once)]


def _in_order(smaller: tuple[str, float], larger: tuple[str, float]) -> None:
    """Raise a sentence where what is named first is larger than what is named last."""
    if smaller[1] > larger[1]:
        few, many = (f"'{name}' ({value:g})" for name, value in (smaller, larger))
        raise ValueError(f"must have {few} at most as large as {many}")


class Clock(Strict):
    time_zone: Zone = "UTC"


class HeadingWords(Strict):
    """More headings for each meaning of `strapline.reading.formats.headings`."""

    time: tuple[Heading, ...] = ()
    date: tuple[Heading, ...] = ()
    elapsed: tuple[Heading, ...] = ()
    heart_rate: tuple[Heading, ...] = ()
    cadence: tuple[Heading, ...] = ()
    rr_interval: tuple[Heading, ...] = ()
    speed: tuple[Heading, ...] = ()
    distance: tuple[Heading, ...] = ()
    power: tuple[Heading, ...] = ()
    end: tuple[Heading, ...] = ()

    @model_validator(mode="after")
    def _each_once(self) -> "HeadingWords":
        words = [word.casefold() for meaning in self.model_dump().values() for word in meaning]
        if len(set(words)) < len(words):
            raise ValueError("must give each heading one meaning, and once")
        return self


class Activities(RootModel[dict[Word, tuple[Heading, ...]]], frozen=True):
    """An activity of the bench, and the words exports use for it."""

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


class Plausibility(Strict):
    # A healthy heart at rest may well beat at 40, and at its most beats faster than 120.
    lowest_bpm: Annotated[float, between(10, 100)] = 30
    highest_bpm: Annotated[float, between(120, 300)] = 240


class RrIntervals(Strict):
    # Shorter than a beat holds none; a minute's mean follows no effort any more.
    window_s: Annotated[float, between(1, 60)] = 5
    # Breathing alone changes intervals by some percent.
    largest_change: Annotated[float, between(0.05, 1)] = 0.4


class Reference(Strict):
    # What a reference is allowed; `tests/benchmarks/reference_check.py` measures these sizes.
    # Seconds that an averaged rate in whole bpm may stay the same: rounding hides what a steady
    # heart varies, in real recordings of two minutes for up to 34 s. In fractions of bpm, as from
    # RR intervals, nothing hides it.
    longest_flat_s: Annotated[float, between(5, 3600)] = 60
    longest_flat_fine_s: Annotated[float, between(2, 3600)] = 10
    # From one second to the next, averaged over 3 s or more; common practice, no source. It is
    # above all but one of 105 real recordings. Beats are counted whole, so a step of one is none.
    largest_step_bpm: Annotated[float, between(2, 100)] = 15
    # No heart rises or falls by these factors within 4 s; a strap does that hears each beat twice,
    # or every second one. Common practice, no source.
    largest_rise: Factor = 1.75
    largest_fall: Factor = 1.5
    # Of the beats within 15 s.
    largest_artefact_share: Share = 0.2
    # So long after a dropout an averaged rate still counts the missing beats.
    settle_s: Annotated[float, between(0, 120)] = 5
    largest_doubtful_share: Share = 0.25


class Grid(Strict):
    # A line over more than two minutes is a guess.
    longest_gap_s: Annotated[float, between(1, 120)] = 10


class Alignment(Strict):
    search_s: Annotated[int, between(0, 600)] = 90
    shortest_overlap_s: Annotated[float, between(10, 3600)] = 60
    largest_doubt_s: Annotated[float, between(0.1, 60)] = 1.6
    lowest_closeness: Share = 0.75
    smallest_lead: Share = 0.03
    largest_lag_s: Annotated[float, between(5, 120)] = 30


class Tolerance(Strict):
    beats: Error = 5
    percent: Percent = 10


class Intervals(Strict):
    replicates: Annotated[int, between(200, 10_000)] = 1000
    shortest_s: Annotated[float, between(10, 36_000)] = 1140
    # A session of hours is worth some hundreds.
    fewest_independent: Annotated[float, between(3, 1000)] = 8


class Effort(Strict):
    formula: Literal[MaximumSource.TANAKA_2001, MaximumSource.NES_2013] = MaximumSource.TANAKA_2001
    fewest_seconds: Annotated[float, between(1, 3600)] = 60


class Alarm(Strict):
    percent: Annotated[float, between(10, 100)] = 85


class Criteria(Strict):
    """What a session must reach to meet each published criterion; percent."""

    mape_below: Percent = 10
    time_within: Percent = 90
    concordance: Annotated[float, between(0.01, 0.999)] = 0.9


class Equivalence(Strict):
    margin_bpm: Error = 5
    # With 0.25 the interval is one of 50 %: nobody would call less a test.
    alpha: Annotated[float, between(0.0001, 0.25)] = 0.05


class OverAll(Strict):
    """What 'over all activities' is about: the mean over these, each counting alike; without any,
    over those that all devices share."""

    activities: Distinct = ()


class Grounds(Strict):
    # A bench that asks for more of each device at each activity never says anything.
    fewest_sessions: Annotated[int, between(1, 1000)]
    fewest_wearers: Annotated[int, between(1, 1000)]
    fewest_minutes: Annotated[float, between(0, 100_000)]

    def met_by(self, sessions: int, wearers: int, minutes: float) -> bool:
        """`wearers` are those somebody stated; a session nobody states was worn by somebody."""
        return (
            sessions >= self.fewest_sessions
            and max(wearers, 1) >= self.fewest_wearers
            and minutes >= self.fewest_minutes
        )


class Claims(Strict):
    """What a sentence must rest on to say that a device tends to do something, or does it."""

    tends: Grounds = Grounds(fewest_sessions=3, fewest_wearers=1, fewest_minutes=60)
    does: Grounds = Grounds(fewest_sessions=8, fewest_wearers=3, fewest_minutes=240)

    @model_validator(mode="after")
    def _does_asks_no_less(self) -> "Claims":
        for name in Grounds.model_fields:
            few, many = (getattr(grounds, name) for grounds in (self.tends, self.does))
            _in_order((f"tends.{name}", few), (f"does.{name}", many))
        return self


class Plan(Strict):
    """A test to be: whom and what it compares, and how well its bias, or limits, are to be known.

    Without devices those of the register are planned that are no reference; without activities
    or wearers, those recorded so far. `week` names the activities of a usual week in their order,
    one as often as it comes.
    """

    devices: Distinct = ()
    activities: Distinct = ()
    week: Annotated[tuple[Word, ...], Field(max_length=50)] = ()
    wearers: Distinct = ()
    know: Literal["bias", "limit"] = "bias"
    # Sensors give whole beats, and sessions differ by several.
    half_width_bpm: Annotated[float, between(0.1, 100)] = 2
    assurance: Annotated[float, between(0.5, 0.999)] = 0.9


class Episodes(Strict):
    enter_bpm: Error = 10
    leave_bpm: Error = 5
    shortest_s: Seconds = 10
    bridge_s: Seconds = 5
    spike_bpm: Error = 20
    spike_longest_s: Seconds = 12
    stuck_s: Seconds = 15
    no_value_s: Seconds = 10
    # Further off, a heart in hard exercise is as near by chance.
    cadence_within_bpm: Annotated[float, between(0.5, 20)] = 4
    cadence_s: Seconds = 20
    slow_s: Seconds = 5

    @model_validator(mode="after")
    def _levels_in_order(self) -> "Episodes":
        _in_order(("leave_bpm", self.leave_bpm), ("enter_bpm", self.enter_bpm))
        _in_order(("enter_bpm", self.enter_bpm), ("spike_bpm", self.spike_bpm))
        return self


# Contrast of text as WCAG 2.2 asks for, criterion 1.4.3. Of lines it asks for 3 (1.4.11); those
# are also told apart by their names, and what cannot be seen at all is refused.
LEAST_CONTRAST = 4.5
LEAST_CONTRAST_OF_LINES = 1.25


class Presentation(Strict):
    title: Annotated[str, Field(max_length=120)] = "Heart rate on the wrist, against the strap"
    credit: Annotated[str, Field(max_length=120)] = ""
    name_wearers: bool = False
    address: Annotated[str, Field(max_length=120)] = ""

    @model_validator(mode="after")
    def _address_is_of_a_site(self) -> "Presentation":
        if self.address and not re.fullmatch(r"https?://[^\s<>\"]+", self.address):
            raise ValueError("must have 'address' begin with http:// or https://, without spaces")
        return self


class Publish(Strict):
    """Which pictures are published, by their names; without any, all are."""

    pictures: tuple[Word, ...] = ()


class Palette(Strict):
    ink: Colour = "#1b1f2a"
    paper: Colour = "#ffffff"
    reference: Colour = "#000000"
    devices: Annotated[tuple[Colour, ...], Field(min_length=2)] = (
        "#0d70ee",
        "#9a3b5c",
        "#76147f",
        "#2b3103",
        "#a04f0f",
        "#7a683f",
    )
    band: Colour = "#e3e6eb"

    @model_validator(mode="after")
    def _can_be_seen(self) -> "Palette":
        if contrast(self.ink, self.paper) < LEAST_CONTRAST:
            raise ValueError("must have 'ink' and 'paper' told apart, or no text can be read")
        lines = {f"entry {n} of 'devices'": colour for n, colour in enumerate(self.devices, 1)}
        for name, colour in (lines | {"'reference'": self.reference}).items():
            if contrast(colour, self.paper) < LEAST_CONTRAST_OF_LINES:
                raise ValueError(f"must have {name} and 'paper' told apart")
        if len({colour.lower() for colour in self.devices}) < len(self.devices):
            raise ValueError("must give each of 'devices' a colour of its own")
        return self


class Settings(Strict):
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
    over_all: OverAll = OverAll()
    claims: Claims = Claims()
    plan: Plan = Plan()
    episodes: Episodes = Episodes()
    presentation: Presentation = Presentation()
    publish: Publish = Publish()
    palette: Palette = Palette()

    def only(self, names: tuple[str, ...]) -> dict[str, Any]:
        """The sections of these names, as keyword arguments of a step."""
        return {name: getattr(self, name) for name in names}
