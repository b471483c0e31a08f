"""An export beside what the card and the register say of it."""

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from strapline.session.card import Recording
from strapline.session.devices import Device


@dataclass(frozen=True)
class ParsedExport:
    """What parsing found out about a file, samples aside; fields as in `Export`.

    laps_s: seconds from the first sample to each press of the lap key. first, last: earliest and
    latest time of its samples, if the file has a clock. has_rate, has_beats: whether it holds
    any heart rate above 0, any RR interval.
    """

    recording: str
    file: str
    sha256: str | None
    format: str
    clock: Literal["utc", "local", "elapsed"]
    utc_offset_s: int | None
    maker: str | None
    product: str | None
    serial: str | None
    firmware: str | None
    external_sensor: str | None
    sport: str | None
    laps_s: list[float]
    remarks: list[str]
    set_aside: str | None
    first: dt.datetime | None
    last: dt.datetime | None
    has_rate: bool
    has_beats: bool


@dataclass(frozen=True)
class Candidate:
    """A file, its entry in the card if it has one, the device it is from, and what speaks
    against using it."""

    export: ParsedExport
    entry: Recording | None
    device: str
    described: Device
    registered: bool
    set_aside: str | None

    @property
    def recording(self) -> str:
        return self.export.recording

    @property
    def file(self) -> str:
        return self.export.file
