"""The session card, `session.yaml`: what the tester knows and no export says."""

import datetime as dt
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    PlainValidator,
    WithJsonSchema,
    model_validator,
)

from strapline.ground.documents import Heading, Strict, Word, between
from strapline.ground.records.elapsed import Elapsed
from strapline.ground.records.picture import Picture
from strapline.ground.records.register import DeviceId, Label
from strapline.ground.records.stated import Stated
from strapline.ground.vocabulary import DateOrder, Placement, Role, Sex
from strapline.ground.zones import Zone

FILE_NAME = "session.yaml"


def _no_number(value: Any) -> Any:
    """A number, also as text, would be taken for seconds since 1970."""
    if isinstance(value, int | float) or (isinstance(value, str) and "-" not in value):
        raise ValueError("must be a date and time such as 2026-03-02 18:05:00")
    return value


def _in_our_time(moment: dt.datetime) -> dt.datetime:
    if not 1900 <= moment.year <= 2200:
        raise ValueError("must be a date from 1900 to 2200")
    return moment


Moment = Annotated[dt.datetime, BeforeValidator(_no_number), AfterValidator(_in_our_time)]
LONGEST_TEXT = 200
# What is larger would not be compared as what was written.
NUMBER_BELOW = 10**15
Text = Annotated[str, Field(min_length=1, max_length=LONGEST_TEXT)]


def _sayable(value: Any) -> str | int | float | bool:
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        raise ValueError(f"must have at most {LONGEST_TEXT} characters; 'notes' may be longer")
    if isinstance(value, str) or (isinstance(value, int | float) and abs(value) < NUMBER_BELOW):
        return value
    raise ValueError("must be a number of at most 15 digits or a word")


Condition = Annotated[
    str | int | float | bool,
    PlainValidator(_sayable),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "maxLength": LONGEST_TEXT},
                {"type": "boolean"},
                {"type": "number", "minimum": 1 - NUMBER_BELOW, "maximum": NUMBER_BELOW - 1},
            ]
        }
    ),
]
LONGEST_FIRMWARE = 40
LARGEST_OFFSET_S = 2 * 24 * 3600
MOST_STREAMS = 99
Stamp = Literal["start", "middle", "end"]


class Pause(Strict):
    """A pause that a file leaves out: `at` so long after its first sample it goes on."""

    at: Elapsed
    lasted: Annotated[Elapsed, Field(gt=0)]


class ClockNote(Strict):
    """What is known of a recording's clock. An offset is added to the file's times.

    A moment shared with the reference, such as a sharp effort or a press of the lap key on every
    device, is marked in each file: by the time since its first sample, or by which lap press it
    was.
    """

    offset_s: Annotated[float, between(-LARGEST_OFFSET_S, LARGEST_OFFSET_S)] | None = None
    about: Annotated[
        bool, Field(description="true: offset_s is coarse; what both files measured refines it")
    ] = False
    trusted: bool = False
    time_zone: Zone | None = None
    starts_at: Moment | None = None
    dates: DateOrder | None = None
    marker: Elapsed | None = None
    lap: Annotated[int, between(1, 999)] | None = None
    pauses: tuple[Pause, ...] = ()
    note: Text | None = None

    @property
    def marks(self) -> bool:
        return self.marker is not None or self.lap is not None

    @model_validator(mode="after")
    def _one_word(self) -> "ClockNote":
        words = (self.offset_s is not None, self.trusted, self.marker is not None, self.lap)
        if sum(map(bool, words)) > 1:
            raise ValueError("must state only one of offset_s, trusted, marker and lap")
        if self.about and self.offset_s is None:
            raise ValueError("must state offset_s, for about says that it is coarse")
        return self


class Entry(Strict):
    """What a card says of one recording, and intake knows of it then."""

    file: Annotated[str, Field(min_length=1, max_length=255)] | None = None
    device: DeviceId
    role: Role = Role.TEST
    placement: Placement = Placement.OTHER
    firmware: Annotated[str, Field(max_length=LONGEST_FIRMWARE)] | None = None
    own_sensor: Annotated[
        bool, Field(description="true: known to be the device's own reading, however like")
    ] = False
    heart_rate: Annotated[
        Heading | None, Field(description="heading of the column of a table to take it from")
    ] = None
    stream: Annotated[
        Annotated[int, between(1, MOST_STREAMS)] | None,
        Field(description="which of the heart rates of a file that holds several"),
    ] = None
    use: Annotated[
        Literal["rr", "rate"] | None,
        Field(description="take the RR intervals, or the rates beside them, whatever they cover"),
    ] = None
    stamp: Annotated[
        Stamp | None,
        Field(description="where in the time that a report stands for its own time lies"),
    ] = None
    picture: Annotated[
        Picture | None, Field(description="what the edges of the plot in a screenshot stand for")
    ] = None
    leave_out: Annotated[Text | None, Field(description="why the recording is not to be used")] = (
        None
    )


class Recording(Entry):
    """Without a file it is of whichever file is recognised as the device's."""

    stated: Annotated[
        Stated | None, Field(description="what the device's app shows, beside a file or without")
    ] = None
    clock: ClockNote = ClockNote()

    @model_validator(mode="after")
    def _file_for_reading(self) -> "Recording":
        if self.file is None and (self.heart_rate or self.clock.dates or self.picture):
            raise ValueError(
                "must say 'file' with heart_rate, dates or picture: they decide how it is read"
            )
        return self


class PartOfSession(Strict, populate_by_name=True):
    start: Annotated[Elapsed, Field(alias="from")]
    end: Annotated[Elapsed, Field(alias="to")]

    @model_validator(mode="after")
    def _in_order(self) -> "PartOfSession":
        if self.end <= self.start:
            raise ValueError("must end after it starts ('to' later than 'from')")
        return self


class Exclusion(PartOfSession):
    reason: Text


class Segment(PartOfSession):
    label: Label


class Body(Strict):
    """What is known of the wearer's body; it decides bands of effort, load and energy."""

    maximum_bpm: Annotated[float, between(100, 240)] | None = None
    resting_bpm: Annotated[float, between(25, 120)] | None = None
    age_years: Annotated[float, between(5, 110)] | None = None
    sex: Sex | None = None
    weight_kg: Annotated[float, between(20, 300)] | None = None

    @model_validator(mode="after")
    def _in_order(self) -> "Body":
        if self.maximum_bpm and self.resting_bpm and self.resting_bpm >= self.maximum_bpm:
            raise ValueError("must have 'resting_bpm' below 'maximum_bpm'")
        return self


class Card(Strict):
    """A session as the tester describes it; whatever is left out is inferred and said."""

    activity: Word | None = None
    wearer: Word | None = None
    body: Body = Body()
    recordings: tuple[Recording, ...] = ()
    exclude: tuple[Exclusion, ...] = ()
    segments: tuple[Segment, ...] = ()
    conditions: dict[Word, Condition] = Field(default={})
    notes: Annotated[str, Field(max_length=2000)] | None = None
    correction: Annotated[
        Annotated[str, Field(min_length=1, max_length=2000)] | None,
        Field(description="why figures that were published have changed; it is published too"),
    ] = None

    @model_validator(mode="after")
    def _consistent(self) -> "Card":
        files = [(r.file, r.stream) for r in self.recordings if r.file]
        often = {name for name, _ in files if sum(name == other for other, _ in files) > 1}
        if len(set(files)) < len(files) or any((name, None) in files for name in often):
            raise ValueError(
                "must name each file once under 'recordings', or once for each 'stream' of it"
            )
        if any(r.heart_rate for r in self.recordings if r.file in often):
            raise ValueError("must tell the heart rates of one file apart by 'stream' alone")
        awaited = [recording.device for recording in self.recordings if recording.file is None]
        if len(set(awaited)) < len(awaited):
            raise ValueError("must say 'file' where a device has several recordings")
        used = [recording for recording in self.recordings if recording.leave_out is None]
        if sum(recording.role == Role.REFERENCE for recording in used) > 1:
            raise ValueError("must give the role 'reference' to one recording only")
        marked = [recording.role for recording in used if recording.clock.marks]
        roles = {recording.role for recording in used}
        if marked and (len(marked) == 1 or "reference" in roles - set(marked)):
            raise ValueError("must mark the shared moment in the reference's recording as well")
        labels = [segment.label for segment in self.segments]
        if len(set(labels)) < len(labels):
            raise ValueError("must give every segment a label of its own")
        return self
