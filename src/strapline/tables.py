"""The contract of every table: columns, types, units and meaning.

A table is checked against its contract at the one place that writes it, and carries the
contract with it: unit and meaning stand in the Parquet field metadata, and what a table is
about (the file it came from, say) stands in the schema metadata as JSON.
"""

import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

TIME = pa.timestamp("ms", tz="UTC")
TEXT = pa.string()
WORD = pa.dictionary(pa.int32(), pa.string())
REAL = pa.float64()
COUNT = pa.int64()

_ABOUT = b"strapline"


class ContractError(ValueError):
    """A table that does not keep its contract: a defect of Strapline, never of an export."""


@dataclass(frozen=True)
class Column:
    name: str
    type: pa.DataType
    meaning: str
    unit: str = ""
    nullable: bool = True


@dataclass(frozen=True)
class Table:
    """A named list of columns, and the only way to read or write a table that has them."""

    name: str
    meaning: str
    columns: tuple[Column, ...]

    @cached_property
    def schema(self) -> pa.Schema:
        fields = [
            pa.field(
                column.name,
                column.type,
                nullable=column.nullable,
                metadata={"unit": column.unit, "meaning": column.meaning},
            )
            for column in self.columns
        ]
        return pa.schema(fields)

    @property
    def column_names(self) -> list[str]:
        return [column.name for column in self.columns]

    def empty(self) -> pd.DataFrame:
        return _to_pandas(self.schema.empty_table())

    def frame(self, columns: Mapping[str, Any]) -> pd.DataFrame:
        """A frame that keeps this contract; columns not given are missing throughout."""
        length = max((len(values) for values in columns.values()), default=0)
        if length == 0:
            return self.empty()
        given = {
            name: columns.get(name, pd.Series([None] * length, dtype=object))
            for name in self.column_names
        }
        return _to_pandas(self._checked(pd.DataFrame(given)))

    def from_rows(self, rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
        """A frame that keeps this contract, from one mapping a row."""
        return self.frame({name: [row.get(name) for row in rows] for name in self.column_names})

    def write(self, frame: pd.DataFrame, path: str | os.PathLike[str], **about: Any) -> None:
        """Write `frame` to `path`, whole or not at all; `about` is kept as JSON beside it.

        Raises ContractError where columns, types or missing values break the contract.
        """
        table = self._checked(frame)
        if about:
            metadata = {_ABOUT: json.dumps(about, sort_keys=True, ensure_ascii=False).encode()}
            table = table.replace_schema_metadata(metadata)
        unfinished = Path(f"{path}.unfinished")
        pq.write_table(table, unfinished, compression="zstd")
        unfinished.replace(path)

    def read(self, path: str | os.PathLike[str]) -> pd.DataFrame:
        return _to_pandas(pq.read_table(path, schema=self.schema))

    def _checked(self, frame: pd.DataFrame) -> pa.Table:
        if list(frame.columns) != self.column_names:
            raise ContractError(f"{self.name}: columns {list(frame.columns)}, not the contract's")
        try:
            table = pa.Table.from_pandas(frame, schema=self.schema, preserve_index=False)
        except (ValueError, pa.ArrowException) as error:
            raise ContractError(f"{self.name}: {error}") from error
        return table.replace_schema_metadata(None)


def about(path: str | os.PathLike[str]) -> dict[str, Any]:
    """What the table at `path` says it is about, as given when it was written."""
    metadata = pq.read_schema(path).metadata or {}
    text = metadata.get(_ABOUT)
    return {} if text is None else json.loads(text)


def _to_pandas(table: pa.Table) -> pd.DataFrame:
    frame: pd.DataFrame = table.to_pandas()
    return frame


SAMPLES = Table(
    "samples",
    "Every sample a raw export holds, in file order, nothing dropped and nothing corrected",
    (
        Column("ordinal", COUNT, "Place of the sample in the file, from 0", nullable=False),
        Column("time", TIME, "Time as the file states it; read as UTC if no zone is given"),
        Column("elapsed_s", REAL, "Time since the start, where a file gives only that", "s"),
        Column("heart_rate_bpm", REAL, "Heart rate as the file states it", "bpm"),
        Column("cadence_per_min", REAL, "Steps or turns a minute as the file states them", "1/min"),
    ),
)

BEATS = Table(
    "beats",
    "Every RR interval a raw export holds, in file order",
    (
        Column("ordinal", COUNT, "Place of the interval in the file, from 0", nullable=False),
        Column("time", TIME, "End of the interval, where the file's clock tells it"),
        Column("elapsed_s", REAL, "End of the interval since the first one's start", "s"),
        Column("rr_ms", REAL, "RR interval as the file states it", "ms"),
    ),
)

NORMALISED = Table(
    "normalised",
    "One recording's heart rate in UTC; doubtful samples are flagged and kept",
    (
        Column("ordinal", COUNT, "Sample (or, from RR intervals, second) it is", nullable=False),
        Column("time", TIME, "Time in UTC after the clock notes of the session card"),
        Column("heart_rate_bpm", REAL, "Heart rate", "bpm"),
        Column("cadence_per_min", REAL, "Steps or turns a minute", "1/min"),
        Column("flag", WORD, "'kept', or why the sample is not used", nullable=False),
        Column(
            "artefact_share",
            REAL,
            "Share of artefacts among the RR intervals that end within 7.5 s; missing for a rate "
            "that was not taken from RR intervals",
        ),
    ),
)

ALIGNED = Table(
    "aligned",
    "Reference and device second by second on one grid, in both views of the clocks",
    (
        Column("recording", WORD, "The device's recording", nullable=False),
        Column("device", WORD, "The device", nullable=False),
        Column("alignment", WORD, "'as_recorded' or 'aligned'", nullable=False),
        Column("time", TIME, "Second of the reference's clock", nullable=False),
        Column("reference_bpm", REAL, "Heart rate of the reference", "bpm"),
        Column("device_bpm", REAL, "Heart rate of the device", "bpm"),
        Column("status", WORD, "'compared', or why the second is not", nullable=False),
        Column("stands_for_s", REAL, "Time both values stand for; 0 if one is missing", "s", False),
    ),
)

OFFSETS = Table(
    "offsets",
    "How each device's error depends on its clock: the session at every offset within a minute",
    (
        Column("recording", WORD, "The device's recording", nullable=False),
        Column("device", WORD, "The device", nullable=False),
        Column(
            "offset_s",
            REAL,
            "Offset added to the device's times, besides any whole quarters of an hour",
            "s",
            False,
        ),
        Column("mae", REAL, "Mean absolute error at that offset", "bpm", False),
        Column("bias", REAL, "Mean difference at that offset", "bpm", False),
        Column("n", COUNT, "Seconds compared at that offset", "s", False),
    ),
)

METRICS = Table(
    "metrics",
    "Agreement of each device with the reference, one figure a row",
    (
        Column("session", WORD, "Session", nullable=False),
        Column("wearer", WORD, "Who wore the devices", nullable=False),
        Column("activity", WORD, "What was done", nullable=False),
        Column("device", WORD, "Device", nullable=False),
        Column("recording", WORD, "Recording", nullable=False),
        Column(
            "scope",
            WORD,
            "'whole', 'segment:<label>', 'intensity:<band>', 'uncut' or 'epoch:<s>'",
            nullable=False,
        ),
        Column("alignment", WORD, "'as_recorded' or 'aligned'", nullable=False),
        Column("metric", WORD, "Name of the figure", nullable=False),
        Column("value", REAL, "The figure; missing where it is not defined"),
        Column("ci_low", REAL, "Lower end of its 95 % interval; missing where the data allow none"),
        Column(
            "ci_high", REAL, "Upper end of its 95 % interval; infinite where the data set no bound"
        ),
        Column("unit", WORD, "Unit of the figure", nullable=False),
        Column("n", COUNT, "Time compared that the figure rests on", "s", nullable=False),
    ),
)

STANDINGS = Table(
    "standings",
    "What the archive says of each device at each activity; one row a device and activity, "
    "and one a device over all activities",
    (
        Column("device", WORD, "Device", nullable=False),
        Column("activity", WORD, "Activity, or 'all'", nullable=False),
        Column("alignment", WORD, "'as_recorded' or 'aligned'", nullable=False),
        Column("sessions", COUNT, "Sessions with at least one compared second", nullable=False),
        Column("wearers", COUNT, "Different stated wearers in them", nullable=False),
        Column("minutes", REAL, "Time compared", "min", nullable=False),
        Column("metric", WORD, "Name of the figure", nullable=False),
        Column("unit", WORD, "Unit of the figure", nullable=False),
        Column("mean", REAL, "Mean of the sessions' figures"),
        Column("sd", REAL, "Standard deviation between sessions; missing for one session"),
        Column("lowest", REAL, "Lowest session"),
        Column("median", REAL, "Median session"),
        Column("highest", REAL, "Highest session"),
    ),
)

FINDINGS = Table(
    "findings",
    "What the sessions together say of each device at each activity and over all, with "
    "intervals; the session is the unit; one statistic a row",
    (
        Column("device", WORD, "Device", nullable=False),
        Column("activity", WORD, "Activity, or 'all'", nullable=False),
        Column("alignment", WORD, "'as_recorded' or 'aligned'", nullable=False),
        Column("statistic", WORD, "Name of the statistic", nullable=False),
        Column("value", REAL, "The statistic; missing where it is not defined"),
        Column("low", REAL, "Lower end of its interval: 95 %, of equivalence 1 - 2 alpha"),
        Column("high", REAL, "Upper end of its interval"),
        Column("unit", WORD, "Unit of the statistic", nullable=False),
        Column("sessions", COUNT, "Sessions it rests on", nullable=False),
        Column("wearers", COUNT, "Different stated wearers in them", nullable=False),
        Column("minutes", REAL, "Time compared in them", "min", nullable=False),
    ),
)

COMPARISONS = Table(
    "comparisons",
    "Devices worn in the same sessions, as pairs: a figure of A minus that of B in each session",
    (
        Column("device_a", WORD, "Device A", nullable=False),
        Column("device_b", WORD, "Device B", nullable=False),
        Column("activity", WORD, "Activity, or 'all'", nullable=False),
        Column("alignment", WORD, "'as_recorded' or 'aligned'", nullable=False),
        Column("metric", WORD, "Name of the figure", nullable=False),
        Column("unit", WORD, "Unit of the figure", nullable=False),
        Column("sessions", COUNT, "Sessions with both", nullable=False),
        Column("wearers", COUNT, "Different stated wearers in them", nullable=False),
        Column("minutes", REAL, "Time compared in them, of the device with less", "min", False),
        Column("difference", REAL, "Mean of A minus B; below 0, A was closer"),
        Column("low", REAL, "Lower end of its 95 % interval; missing for one session"),
        Column("high", REAL, "Upper end of its 95 % interval"),
        Column("p", REAL, "Of no difference, by sign flips, two-sided", "1"),
        Column(
            "sessions_needed",
            COUNT,
            "Fewest sessions with which this test could show a difference at all",
        ),
        Column(
            "p_family",
            REAL,
            "The same after Holm's adjustment for all pairs over all activities, or for all "
            "pairs at single activities",
            "1",
        ),
        Column("closer", REAL, "Share of sessions in which A was closer, ties as halves", "1"),
        Column("closer_low", REAL, "Lower end of its 95 % interval", "1"),
        Column("closer_high", REAL, "Upper end of its 95 % interval", "1"),
        Column("a_left", COUNT, "Sessions with A on the left wrist and B on the right", "", False),
        Column("a_right", COUNT, "Sessions the other way round", "", False),
        Column(
            "confounded",
            pa.bool_(),
            "A was never on both wrists, or nobody says: device and wrist cannot be told apart",
            nullable=False,
        ),
        Column("balanced", REAL, "The difference as if each had been on either wrist as often"),
        Column("balanced_low", REAL, "Lower end of its 95 % interval"),
        Column("balanced_high", REAL, "Upper end of its 95 % interval"),
    ),
)

FIRMWARE = Table(
    "firmware",
    "How a device's figures changed from one stated firmware to the next",
    (
        Column("device", WORD, "Device", nullable=False),
        Column("activity", WORD, "Activity, or 'all'", nullable=False),
        Column("alignment", WORD, "'as_recorded' or 'aligned'", nullable=False),
        Column("metric", WORD, "Name of the figure", nullable=False),
        Column("unit", WORD, "Unit of the figure", nullable=False),
        Column("firmware_before", TEXT, "Firmware of the earlier sessions", nullable=False),
        Column("firmware_after", TEXT, "Firmware of the later sessions", nullable=False),
        Column("before", REAL, "Mean of the sessions before"),
        Column("after", REAL, "Mean of the sessions after"),
        Column("change", REAL, "After minus before"),
        Column("low", REAL, "Lower end of its 95 % interval"),
        Column("high", REAL, "Upper end of its 95 % interval"),
        Column("p", REAL, "Of no change, two-sided", "1"),
        Column("sessions_before", COUNT, "Sessions before", nullable=False),
        Column("sessions_after", COUNT, "Sessions after", nullable=False),
        Column("wearers", COUNT, "Different stated wearers in them", nullable=False),
        Column("minutes", REAL, "Time compared in them", "min", nullable=False),
    ),
)

DEVICES = Table(
    "devices",
    "Every device that was compared or served as the reference",
    (
        Column("device", TEXT, "Short name of the device", nullable=False),
        Column("label", TEXT, "Name as results show it", nullable=False),
        Column("kind", WORD, "What kind of device it is", nullable=False),
    ),
)

NOTICES = Table(
    "notices",
    "What was set aside and why, and what was assumed for want of a statement",
    (
        Column("session", WORD, "Session; empty for the inbox itself", nullable=False),
        Column("recording", TEXT, "Recording, where it concerns only one"),
        Column("kind", WORD, "'set_aside', 'clock' or 'assumed'", nullable=False),
        Column("text", TEXT, "The notice in plain words", nullable=False),
    ),
)

SESSIONS = Table(
    "sessions",
    "One row a session: when, who, what",
    (
        Column("session", WORD, "Session", nullable=False),
        Column("title", TEXT, "Name of its folder in the inbox", nullable=False),
        Column("wearer", WORD, "Who wore the devices", nullable=False),
        Column("activity", WORD, "What was done", nullable=False),
        Column("started_at", TIME, "First second of the reference"),
        Column("minutes", REAL, "Length of the reference", "min"),
        Column("reference", TEXT, "Device used as the reference"),
        Column("devices", COUNT, "Devices compared with it", nullable=False),
        Column("set_aside", TEXT, "Why the session is no evidence, where it is not"),
    ),
)

EPISODES = Table(
    "episodes",
    "Every span of a session in which a device is not right, in the aligned view of the clocks",
    (
        Column("session", WORD, "Session", nullable=False),
        Column("wearer", WORD, "Who wore the devices", nullable=False),
        Column("activity", WORD, "What was done", nullable=False),
        Column("device", WORD, "Device", nullable=False),
        Column("recording", WORD, "Recording", nullable=False),
        Column("kind", WORD, "'no_value', 'stuck', 'slow_to_follow', …", nullable=False),
        Column("start", TIME, "First second, on the reference's clock", nullable=False),
        Column("end", TIME, "The second after the last", nullable=False),
        Column("start_s", COUNT, "First second since the session's first", "s", False),
        Column("end_s", COUNT, "The second after the last since then", "s", False),
        Column("share", REAL, "Share of the session's length", nullable=False),
        Column("mean_error_bpm", REAL, "Mean of device minus reference", "bpm"),
        Column("peak_error_bpm", REAL, "Largest error either way, signed", "bpm"),
        Column("evidence", TEXT, "Why it is of its kind, in a sentence", nullable=False),
    ),
)

COURSES = Table(
    "courses",
    "How a session went for each device: where its seconds went, and what it managed when",
    (
        Column("session", WORD, "Session", nullable=False),
        Column("wearer", WORD, "Who wore the devices", nullable=False),
        Column("activity", WORD, "What was done", nullable=False),
        Column("device", WORD, "Device", nullable=False),
        Column("recording", WORD, "Recording", nullable=False),
        Column("length_s", COUNT, "Length of the session", "s", False),
        Column("episodes_s", COUNT, "Time in episodes", "s", False),
        Column("on_track_s", COUNT, "Time compared and in no episode", "s", False),
        Column("not_compared_s", COUNT, "Time not compared and in no episode", "s", False),
        Column("first_lock_s", COUNT, "When it first stayed near the reference", "s"),
        Column("settled_s", COUNT, "From when it was near nearly all the time", "s"),
        Column("longest_start_s", COUNT, "Start of the longest time on track", "s"),
        Column("longest_end_s", COUNT, "The second after its end", "s"),
        Column("longest_error_bpm", REAL, "Mean absolute error in it", "bpm"),
        Column("peaks", COUNT, "Peaks of the reference that could be judged", nullable=False),
        Column("peaks_reached", COUNT, "Those the device reached", nullable=False),
    ),
)

SENTENCES = Table(
    "sentences",
    "What there is to say of a device in a session, in plain sentences",
    (
        Column("session", WORD, "Session", nullable=False),
        Column("device", WORD, "Device", nullable=False),
        Column("recording", WORD, "Recording", nullable=False),
        Column("form", WORD, "'line', 'course', 'finding' or 'aloud'", nullable=False),
        Column("place", COUNT, "Order within the form, from 0", nullable=False),
        Column("text", TEXT, "The sentence", nullable=False),
    ),
)

CONTRACTS = (
    SAMPLES,
    BEATS,
    NORMALISED,
    ALIGNED,
    OFFSETS,
    METRICS,
    STANDINGS,
    FINDINGS,
    COMPARISONS,
    FIRMWARE,
    SESSIONS,
    DEVICES,
    NOTICES,
    EPISODES,
    COURSES,
    SENTENCES,
)
