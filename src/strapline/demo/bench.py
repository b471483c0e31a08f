"""The invented bench, `bench.yaml`: who trains, with which devices, when, and what goes wrong."""

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from pydantic import AwareDatetime, Field, model_validator

from strapline.ground.documents import Strict, Word
from strapline.ground.records.card import Exclusion
from strapline.ground.records.register import DeviceId, Label
from strapline.ground.vocabulary import Placement, Sex
from strapline.ground.zones import Zone

Share = Annotated[float, Field(ge=0, le=1)]
Rate = Annotated[float, Field(ge=0, le=120)]
Seconds = Annotated[float, Field(ge=0, le=600)]
Beats = Annotated[float, Field(ge=0, le=60)]
Serial = Annotated[int, Field(ge=1, le=0xFFFFFFFE)]
# Exports store whole seconds, so a part of one would be lost between file and truth.
Clock = Annotated[int, Field(ge=-86400, le=86400)]
Sport = Literal["running", "cycling", "training", "generic"]


class Wearer(Strict):
    """A body: rates in bpm, and the time constants with which heart rate follows effort.

    Sex and weight change nothing but what the wearer's session cards say.
    """

    age: Annotated[int, Field(ge=18, le=90)]
    resting_bpm: Annotated[float, Field(ge=35, le=90)]
    max_bpm: Annotated[float, Field(ge=140, le=220)]
    rise_s: Annotated[float, Field(gt=0, le=120)]
    fall_s: Annotated[float, Field(gt=0, le=240)]
    drift_per_hour: Share = 0.06
    variability: Share = 0.05
    sex: Sex | None = None
    weight_kg: Annotated[float, Field(ge=40, le=150)] | None = None


class Phase(Strict):
    """A stretch of even effort, as a share of heart rate reserve; a label makes it a segment.

    `grip` is how hard the hands hold on, from 0 to 1; `cadence` is steps or turns a minute.
    """

    seconds: Annotated[int, Field(ge=1, le=7200)]
    effort: Share
    cadence: Annotated[float, Field(ge=0, le=240)] = 0
    grip: Share = 0
    label: Label | None = None


class Activity(Strict):
    """Phases before, rounds of phases, phases after. `unrest` is the wandering of effort (SD)."""

    sport: Sport
    before: tuple[Phase, ...] = ()
    rounds: Annotated[int, Field(ge=1, le=60)] = 1
    round: Annotated[tuple[Phase, ...], Field(min_length=1)]
    after: tuple[Phase, ...] = ()
    unrest: Share = 0.02

    def phases(self) -> Iterator[Phase]:
        """All phases in order; labels within rounds are numbered from 1."""
        yield from self.before
        for number in range(1, self.rounds + 1):
            for phase in self.round:
                label = f"{phase.label} {number}" if phase.label else None
                yield phase.model_copy(update={"label": label})
        yield from self.after

    @property
    def duration_s(self) -> int:
        return sum(phase.seconds for phase in self.phases())


class Strap(Strict):
    """A chest strap. `window_s` is the trailing window of its own averaged rate."""

    product: Label
    serial: Serial
    format: Literal["fit", "rr"]
    window_s: Annotated[float, Field(gt=0, le=10)] = 3


class Sensor(Strict):
    """What a wrist sensor does to the true heart rate; see `strapline.demo.wrist`."""

    lag_s: Seconds = 1
    rise_s: Seconds = 2
    fall_s: Seconds = 2
    error_bpm: Beats = 1
    first_lock_s: Seconds = 0
    grip_loss: Share = 0
    cadence_locks_per_hour: Rate = 0
    cadence_lock_s: Seconds = 120
    stale_per_hour: Rate = 0
    stale_s: Seconds = 30
    contact_losses_per_hour: Rate = 0
    contact_loss_s: Seconds = 15


class Update(Strict):
    """New firmware from a day on, and the sensor it makes of the old one."""

    firmware: Label
    since: dt.date
    sensor: Sensor


class Wrist(Strict):
    """A wrist device, or, of the format 'png', one whose app exports nothing: a screenshot.

    It stores a sample every `shortest_step_s` to `longest_step_s` seconds. `clock_s` is how far its
    clock is ahead of the strap's; `time_zone` is for exports that give local time without saying
    so.
    """

    product: Label
    serial: Serial
    format: Literal["fit", "tcx", "gpx", "csv", "png"]
    sensor: Sensor
    firmware: Label | None = None
    update: Update | None = None
    shortest_step_s: Annotated[int, Field(ge=1, le=30)] = 1
    longest_step_s: Annotated[int, Field(ge=1, le=30)] = 1
    clock_s: Clock = 0
    time_zone: Zone | None = None

    def on(self, day: dt.date) -> tuple[str | None, Sensor]:
        if self.update and day >= self.update.since:
            return self.update.firmware, self.update.sensor
        return self.firmware, self.sensor


class Session(Strict):
    """One session: who, what, which devices where, and the mishaps. `screen` is on the left upper
    arm; of its app there is a screenshot, or, without, only what the card says that it states."""

    start: AwareDatetime
    wearer: Word
    activity: Word
    strap: DeviceId
    left: DeviceId
    right: DeviceId
    card: bool = True
    bad_strap_contact: bool = False
    screen: DeviceId | None = None
    screenshot: bool = True
    cut_short: DeviceId | None = None
    clock_s: dict[DeviceId, Clock] = Field(default={})
    exclude: tuple[Exclusion, ...] = ()
    conditions: dict[Word, str | int | float | bool] = Field(default={})

    @property
    def name(self) -> str:
        """Name of the session's folder, and the seed of all its chance."""
        return f"{self.start:%Y-%m-%d}-{self.activity}-{self.wearer}"

    @property
    def wrists(self) -> dict[str, str]:
        """Device by placement, in the words of the session card."""
        return {Placement.LEFT_WRIST: self.left, Placement.RIGHT_WRIST: self.right}

    @property
    def worn(self) -> dict[str, str]:
        """The same of all devices under test."""
        return self.wrists | ({Placement.LEFT_UPPER_ARM: self.screen} if self.screen else {})


class Bench(Strict):
    wearers: Annotated[dict[Word, Wearer], Field(min_length=1)]
    activities: Annotated[dict[Word, Activity], Field(min_length=1)]
    straps: Annotated[dict[DeviceId, Strap], Field(min_length=1)]
    wrists: Annotated[dict[DeviceId, Wrist], Field(min_length=2)]
    screens: dict[DeviceId, Wrist] = Field(default={})
    sessions: tuple[Session, ...]

    @model_validator(mode="after")
    def _consistent(self) -> "Bench":
        names = [session.name for session in self.sessions]
        if len(set(names)) < len(names):
            raise ValueError("must not hold two sessions of one wearer, activity and day")
        for session in self.sessions:
            self._check(session)
        return self

    def _check(self, session: Session) -> None:
        described: tuple[tuple[str, Mapping[str, Strict]], ...] = (
            (session.wearer, self.wearers),
            (session.activity, self.activities),
            (session.strap, self.straps),
            (session.left, self.wrists),
            (session.right, self.wrists),
            *([(session.screen, self.screens)] if session.screen else []),
        )
        for name, known in described:
            if name not in known:
                raise ValueError(f"must not use '{name}' in {session.name} before it is described")
        if session.left == session.right:
            raise ValueError(f"must put two different devices on the wrists in {session.name}")
        if session.bad_strap_contact and self.straps[session.strap].format == "rr":
            raise ValueError(f"must not lose beats where no time is stored: {session.name}")
        failing = [*session.clock_s, *([session.cut_short] if session.cut_short else [])]
        for device in failing:
            if device not in {session.left, session.right, session.strap}:
                raise ValueError(f"must not let '{device}' fail where it is not: {session.name}")

    def clock_s(self, session: Session, device: str) -> int:
        """How far the device's clock is ahead of the strap's in this session, in s."""
        usual = 0 if device in self.straps else self.tested(device).clock_s
        return session.clock_s.get(device, usual)

    def tested(self, device: str) -> Wrist:
        return self.wrists.get(device) or self.screens[device]
