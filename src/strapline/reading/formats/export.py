"""What a raw export says, whatever its format."""

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

import pandas as pd

from strapline.ground.documents import Strict
from strapline.ground.records.card import Stamp
from strapline.ground.records.picture import Picture, Resolution
from strapline.ground.tables.recordings import BEATS, SAMPLES
from strapline.ground.vocabulary import DateOrder, FileClock, SensorKind

# How much of one file is read: enough for weeks of one sample a second, in bounded memory.
MOST_BYTES = 128 * 1024**2
MOST_RECORDS = 1_500_000
TOO_LONG = "The file holds more than any session could; export this session alone."

_LONGEST_FACT = 120


class UnreadableExport(ValueError):
    """A file no reader can use; its message is a plain sentence for the tester."""


class UndecidedExport(UnreadableExport):
    """A file that could be read if the session card settled what it leaves open."""


def refuse_beyond(records: int) -> None:
    """Raise UnreadableExport where a file holds more `records` than any session."""
    if records > MOST_RECORDS:
        raise UnreadableExport(TOO_LONG)


class Hints(Strict):
    """What a tester can say where a file leaves it open.

    dates
        How to read dates such as 03/04/2024.
    heart_rate
        The heading, as it stands in a table, of the column to take the heart rate from.
    picture
        What the edges of the plot in a screenshot stand for.
    """

    dates: DateOrder | None = None
    heart_rate: str | None = None
    picture: Picture | None = None


@dataclass(frozen=True)
class Stream:
    """One of a file's heart rates, each a recording of its own.

    source
        What it is from, in plain words that are nobody's own.
    kind
        The kind of sensor, where the file tells.
    against
        Why it is no recording of its own, unless the session card names it: a sentence.
    """

    number: int
    source: str
    kind: SensorKind | None = None
    against: str | None = None


@dataclass(frozen=True, kw_only=True)
class Facts:
    """What a file says apart from its samples, as far as it is kept. What names the device, its
    unit or its wearer is not among it; see `strapline.reading.formats.identity`.

    clock
        'utc': times are certain. 'local': times are wall-clock readings without a zone, stored
        as if UTC. 'elapsed': only the time since the start is known.
    unit_s
        What times elapsed are taken to count, in seconds, where the file states no unit.
    times_of_day
        Whether times elapsed are those since some midnight.
    utc_offset_s
        What the wearer's wall clock was ahead of UTC, where the file says so.
    firmware
        Version of the device's software, in numbers.
    external_sensor
        The heart-rate sensor the device was connected to, in plain words; what the file holds
        may then be that sensor's heart rate instead of the device's own.
    satellite
        Whether it holds positions that change: its clock was then set by satellites.
    resolution
        How fine a picture shows it, where it was read from one.
    stamp
        Where in the time that a row stands for its own time lies, if the file states it.
    unread
        How many of its columns hold numbers under headings that nothing is known of.
    broken_off
        A sentence on where the file breaks off, if it does.
    remarks
        What else a tester should know of the reading, each a plain sentence.
    """

    format: str
    clock: FileClock
    unit_s: float | None = None
    times_of_day: bool = False
    utc_offset_s: int | None = None
    firmware: str | None = None
    external_sensor: str | None = None
    satellite: bool = False
    resolution: Resolution | None = None
    stamp: Stamp | None = None
    unread: int = 0
    broken_off: str | None = None
    remarks: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """These facts alone, of whatever holds them."""
        own = {one.name: getattr(self, one.name) for one in fields(Facts)}
        return own | {"resolution": self.resolution.model_dump() if self.resolution else None}


def facts_of(stated: Mapping[str, Any]) -> dict[str, Any]:
    """What `Facts.as_json` gave, and whatever stands beside it, as keyword arguments."""
    fine = stated.get("resolution")
    return {**stated, "resolution": Resolution.model_validate(fine) if fine else None}


@dataclass(frozen=True, kw_only=True)
class Export(Facts):
    """The content of one file.

    samples, beats
        Frames under the contracts SAMPLES and BEATS, in file order.
    streams
        Where the heart rates are from, in order of their numbers; empty where there is one and
        nothing is said of it.
    lap_starts_ms
        When each lap began, by the file's clock, in ms since 1970, in file order.
    """

    samples: pd.DataFrame = field(default_factory=SAMPLES.empty)
    beats: pd.DataFrame = field(default_factory=BEATS.empty)
    streams: tuple[Stream, ...] = ()
    lap_starts_ms: tuple[float, ...] = ()


def printable(text: str) -> str:
    """`text` of a file in one short line, without what could not be stored or would mislead.

    Control characters, lone surrogates and marks that turn the direction of writing go.
    """
    kept = ("" if unicodedata.category(c)[0] == "C" else c for c in text[: 4 * _LONGEST_FACT])
    line = " ".join("".join(kept).split())
    return line if len(line) <= _LONGEST_FACT else f"{line[: _LONGEST_FACT - 1]}…"
