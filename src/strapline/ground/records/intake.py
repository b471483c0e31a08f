"""What a session consists of, once card, register and the exports themselves were heard."""

import datetime as dt
import os

from strapline.ground.documents import Strict
from strapline.ground.files import read_model
from strapline.ground.records.card import Body, ClockNote, Entry, Exclusion, Segment
from strapline.ground.records.picture import Resolution
from strapline.ground.records.stated import StatedIntake
from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import FileClock, NoticeKind, Role, TimeSource

# Begins what a device is called of which nothing is known. No name of the register or of a card
# holds a dot.
UNKNOWN = "unknown."


class Notice(Strict):
    """Something a reader of the results must know; `recording` is None for the whole session."""

    kind: NoticeKind
    text: str
    recording: str | None = None


class RecordingIntake(Entry):
    """One stream of an export, in its role.

    What the card says is completed by the file and by what was inferred; `device` may be none of
    the register's, see UNKNOWN. `raw` is what the file's tables are called, '' where it could not
    be read; `unit` tells devices of one kind apart that were worn in one session.
    `source` says where the stream is from, where the file holds several. `clock`, `satellite`,
    `resolution` and `unread` are the file's, see `strapline.reading.formats.export.Facts`; what
    the register says is `time_from`.
    first_s is when the file's first sample was by its own clock, see `first_of_file`; time_scale
    what its times are to be multiplied with from there on, where their unit is another than was
    read; marker_s when the moment shared with the reference was marked, in s after the file's first
    sample. within: from when to when, in UTC by its own clock, a history is used that goes on for
    hours around the session. start_assumed: whether nothing says when the file begins, so that its
    clock_note takes it to start with the session.
    """

    recording: str
    file: str
    sha256: str
    raw: str = ""
    stream: int = FIRST_STREAM
    source: str | None = None
    format: str
    device: str
    unit: int | None = None
    label: str
    device_kind: str
    unread: int = 0
    clock: FileClock
    clock_note: ClockNote
    start_assumed: bool = False
    satellite: bool = False
    resolution: Resolution | None = None
    time_from: TimeSource | None = None
    first_s: float | None = None
    time_scale: float = 1.0
    marker_s: float | None = None
    within: tuple[dt.datetime, dt.datetime] | None = None
    set_aside: str | None

    @property
    def start_is_open(self) -> bool:
        """Whether its start is assumed, and no word of the card on its clock stands in for it."""
        note = self.clock_note
        is_said = note.marks or note.trusted or note.offset_s is not None
        return self.start_assumed and not is_said


class SessionIntake(Strict):
    """`stated` is what apps show of it, beside an export or without; `card_sha256` is None where
    there is no card."""

    session: str
    title: str
    activity: str
    wearer: str
    body: Body = Body()
    recordings: tuple[RecordingIntake, ...]
    stated: tuple[StatedIntake, ...] = ()
    exclude: tuple[Exclusion, ...]
    segments: tuple[Segment, ...]
    conditions: dict[str, str | int | float | bool]
    notes: str | None
    correction: str | None = None
    set_aside: str | None
    notices: tuple[Notice, ...]
    card_sha256: str | None = None

    @property
    def reference(self) -> RecordingIntake | None:
        """The usable reference, or None."""
        usable = [r for r in self.recordings if r.role == Role.REFERENCE and r.set_aside is None]
        return usable[0] if usable else None

    @property
    def tested(self) -> tuple[RecordingIntake, ...]:
        """The usable recordings of devices under test."""
        return tuple(r for r in self.recordings if r.role == Role.TEST and r.set_aside is None)

    @property
    def with_open_start(self) -> tuple[RecordingIntake, ...]:
        """The usable recordings of which nothing tells when they began."""
        return tuple(r for r in self.recordings if r.set_aside is None and r.start_is_open)

    @property
    def stated_alone(self) -> tuple[StatedIntake, ...]:
        """What apps show of devices that have no usable export."""
        return tuple(entry for entry in self.stated if entry.stands_alone)

    @property
    def used(self) -> tuple[RecordingIntake | StatedIntake, ...]:
        """The usable recordings, the reference among them, and what stands in for others."""
        usable = (entry for entry in self.recordings if entry.set_aside is None)
        return (*usable, *self.stated_alone)

    def without_file_names(self) -> "SessionIntake":
        """For what leaves the session: a file's name may hold a person's."""
        nameless = (entry.model_copy(update={"file": ""}) for entry in self.recordings)
        return self.model_copy(update={"recordings": tuple(nameless)})

    def names(self, recording: str, device: str) -> dict[str, str]:
        """The columns by which tables of many sessions tell whose recording it is."""
        return {
            "session": self.session,
            "wearer": self.wearer,
            "activity": self.activity,
            "device": device,
            "recording": recording,
        }


def is_unknown(device: str) -> bool:
    return device.startswith(UNKNOWN)


def read_intake(path: str | os.PathLike[str]) -> SessionIntake:
    """Raises UnfitResult."""
    return read_model(path, SessionIntake)
