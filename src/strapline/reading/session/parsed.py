"""A stream of an export beside what the card and the register say of it."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from strapline.ground.records.card import Recording
from strapline.ground.records.register import REFERENCE_KINDS, Device
from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import FileClock
from strapline.reading.formats.export import Facts, Stream
from strapline.reading.formats.identity import Identity
from strapline.reading.session.span import ClockFault

NOTHING_SAID = Identity()


@dataclass(frozen=True, kw_only=True)
class ParsedExport(Facts):
    """One of a file's streams: what parsing found out about it, samples aside; and what the file
    says of its device, which is for deciding and not to be kept.

    raw: what the file's tables are called; '' where it could not be read. told: where the stream is
    from, where the file has several.
    first_s: the first time of the whole file, by its own clock, see `first_of_file`. length_s: the
    time from its first to its last.
    laps_s: seconds from the first sample to each press of the lap key. first, last: earliest and
    latest time of its samples, if the file has a clock. has_rate, has_beats: whether it holds
    any heart rate above 0, any RR interval. clock_fault: what is wrong with its times.
    """

    file: str
    sha256: str | None = None
    raw: str = ""
    stream: int = FIRST_STREAM
    told: Stream | None = None
    identity: Identity = NOTHING_SAID
    laps_s: Sequence[float] = ()
    set_aside: str | None = None
    first_s: float | None = None
    length_s: float = 0.0
    first: dt.datetime | None = None
    last: dt.datetime | None = None
    has_rate: bool = False
    has_beats: bool = False
    clock_fault: ClockFault | None = None
    format: str = "none"
    clock: FileClock = FileClock.UTC

    @property
    def is_of_a_strap(self) -> bool:
        """Whether its file says that the stream is from a strap or an electrocardiogram."""
        return self.told is not None and self.told.kind in REFERENCE_KINDS


@dataclass(frozen=True)
class Candidate:
    """A stream, the name of its recording, its entry in the card if it has one, the device it is
    from and which unit of it, and what speaks against using it."""

    export: ParsedExport
    recording: str
    entry: Recording | None
    device: str
    described: Device
    registered: bool
    unit: int | None
    set_aside: str | None
