"""What is kept of each raw export, and of each recording in it."""

import numpy as np
import pandas as pd

from strapline.ground.tables.shared import RECORDING
from strapline.ground.tables.table import (
    COUNT,
    REAL,
    TIME,
    WORD,
    Column,
    OnePath,
    Table,
    about,
    required,
)

# Of a file that holds one.
FIRST_STREAM = 1

AT = Column("time", TIME, "Time in UTC after the clock notes of the session card")
STREAM = required("stream", COUNT, "Which of the file's heart rates it belongs to, from 1")

SAMPLES = Table(
    "samples",
    "Every sample a raw export holds, in file order, nothing dropped and nothing corrected",
    (
        required("ordinal", COUNT, "Place of the sample in the file, from 0"),
        STREAM,
        Column("time", TIME, "Time as the file states it; read as UTC if no zone is given"),
        Column("elapsed_s", REAL, "Time since the start, where a file gives only that", "s"),
        Column("heart_rate_bpm", REAL, "Heart rate as the file states it", "bpm"),
        Column("cadence_per_min", REAL, "Steps or turns a minute as the file states them", "1/min"),
        Column("speed_m_s", REAL, "Speed, by the distance the file states or its positions", "m/s"),
        Column("power_w", REAL, "Power as the file states it", "W"),
    ),
)

BEATS = Table(
    "beats",
    "Every RR interval a raw export holds, in file order",
    (
        required("ordinal", COUNT, "Place of the interval in the file, from 0"),
        STREAM,
        Column("time", TIME, "End of the interval, where the file's clock tells it"),
        Column("elapsed_s", REAL, "End of the interval since the first one's start", "s"),
        Column("rr_ms", REAL, "RR interval as the file states it", "ms"),
    ),
)

NORMALISED = Table(
    "recordings",
    "Each recording's heart rate in UTC; doubtful samples are flagged and kept",
    (
        RECORDING,
        required("ordinal", COUNT, "Sample (or, from RR intervals, second) it is"),
        AT,
        Column("heart_rate_bpm", REAL, "Heart rate", "bpm"),
        required("flag", WORD, "'kept', or why the sample is not used"),
        Column(
            "artefact_share",
            REAL,
            "Share of artefacts among the RR intervals that end within 7.5 s; missing for a rate "
            "that was not taken from RR intervals",
        ),
    ),
)

# A time further than this from the median is of a clock that was broken then.
FARTHEST_HOURS = 48

# Quantities besides heart rate that two files of one activity may both hold.
QUANTITIES = ("speed_m_s", "cadence_per_min", "power_w")

CHANNELS = Table(
    "channels",
    "What each recording's file holds besides the heart rate that is used, in UTC",
    (
        RECORDING,
        required("ordinal", COUNT, "Sample it is"),
        AT,
        Column(
            "heart_rate_bpm",
            REAL,
            "Averaged heart rate beside RR intervals, where it may be used",
            "bpm",
        ),
        Column("cadence_per_min", REAL, "Steps or turns a minute", "1/min"),
        Column("speed_m_s", REAL, "Speed", "m/s"),
        Column("power_w", REAL, "Power", "W"),
    ),
)


def of_stream(frame: pd.DataFrame, stream: int) -> pd.DataFrame:
    """The rows of one stream, from a frame under SAMPLES or BEATS."""
    return frame[frame["stream"] == stream].reset_index(drop=True)


def is_far_off(time: pd.Series) -> pd.Series:
    """Which times a broken clock wrote."""
    return (time - time.median()).abs() > pd.Timedelta(hours=FARTHEST_HOURS)


def since_1970(time: pd.Series) -> pd.Series:
    """Times in UTC as seconds, of whatever year."""
    milliseconds = time.dt.tz_convert(None).to_numpy(dtype="datetime64[ms]")
    known = ~np.isnat(milliseconds)
    return pd.Series(np.where(known, milliseconds.astype("int64") / 1000, np.nan), time.index)


def seconds_of(frame: pd.DataFrame) -> pd.Series:
    """The times of a frame under SAMPLES or BEATS in seconds: since 1970 or, where there are none,
    since the start."""
    time: pd.Series = frame["time"]
    return since_1970(time) if time.notna().any() else frame["elapsed_s"]


def first_of_file(samples: pd.DataFrame, beats: pd.DataFrame) -> float | None:
    """When a file's first sample was by its own clock, or else the start of its first RR interval,
    see `seconds_of`. A time that a broken clock wrote does not count."""
    starts = (_well_timed(samples), _well_timed(beats) - beats["rr_ms"] / 1000)
    return next((float(start.min()) for start in starts if start.notna().any()), None)


def length_s(frame: pd.DataFrame) -> float:
    """From the first to the last time of a frame under SAMPLES or BEATS; 0 where it has none."""
    seconds = _well_timed(frame)
    return float(seconds.max() - seconds.min()) if seconds.notna().any() else 0.0


def _well_timed(frame: pd.DataFrame) -> pd.Series:
    return seconds_of(frame.assign(time=frame["time"].where(~is_far_off(frame["time"]))))


def by_recording(path: OnePath, table: Table = NORMALISED) -> dict[str, pd.DataFrame]:
    """The table of all recordings, under that contract, as one of each; some may have no row."""
    frame = table.read(path)
    names = frame["recording"].astype(str)
    recordings = about(path)["recordings"]
    return {name: frame[names == name].reset_index(drop=True) for name in recordings}
