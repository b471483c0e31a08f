"""What is kept of each recording."""

from strapline.tables.table import COUNT, REAL, TIME, WORD, Column, Table

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
