"""What is kept of each session, and, joined, of all."""

import pyarrow as pa

from strapline.ground.tables.shared import (
    AGAINST,
    ALIGNMENT,
    DEVICE,
    HIGH,
    METRIC,
    RECORDING,
    SESSION,
    STATED_FIGURE,
    UNIT,
    WHOSE,
)
from strapline.ground.tables.table import COUNT, REAL, TEXT, TIME, WORD, Column, Table

ALIGNED = Table(
    "aligned",
    "Reference and device second by second on one grid, in both views of the clocks",
    (
        RECORDING,
        DEVICE,
        ALIGNMENT,
        Column("time", TIME, "Second of the reference's clock", nullable=False),
        Column("reference_bpm", REAL, "Heart rate of the reference", "bpm"),
        Column("device_bpm", REAL, "Heart rate of the device", "bpm"),
        Column("status", WORD, "'compared', or why the second is not", nullable=False),
        Column(
            "stands_for_s",
            REAL,
            "Time that the report there stands for; 0 if one is missing",
            "s",
            False,
        ),
    ),
)

OFFSETS = Table(
    "offsets",
    "How each device's error depends on its clock: the session at every offset within a minute",
    (
        RECORDING,
        DEVICE,
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
        *WHOSE,
        Column(
            "scope",
            WORD,
            "'whole', 'segment:<label>', 'intensity:<band>', 'uncut', 'epoch:<s>', "
            "'beside:<recording>', where that one was compared too, or 'against:<recording>', "
            "where that one is in the reference's place",
            nullable=False,
        ),
        ALIGNMENT,
        METRIC,
        Column("value", REAL, "The figure; missing where it is not defined"),
        Column("ci_low", REAL, "Lower end of its 95 % interval; missing where the data allow none"),
        Column("ci_high", REAL, "Upper end of its 95 % interval"),
        UNIT,
        Column("n", COUNT, "Time compared that the figure rests on", "s", nullable=False),
    ),
    is_public=True,
    in_parts=True,
)

WHOLE_SESSIONS = Table(
    "whole_sessions",
    "Of the metrics, those of whole sessions and of the seconds that another device of the session "
    "was compared in too",
    METRICS.columns,
)

DIFFERENCES = Table(
    "differences",
    "How often each difference from the reference occurred in the seconds compared",
    (
        SESSION,
        DEVICE,
        ALIGNMENT,
        Column("difference_bpm", COUNT, "Device minus reference, to a whole beat", "bpm", False),
        Column(
            "share",
            REAL,
            "Share of the session's seconds; those of two recordings of a device count together",
            nullable=False,
        ),
    ),
)

EPISODES = Table(
    "episodes",
    "Every span of a session in which a device is not right, and what stands out within such a "
    "span, in the aligned view of the clocks",
    (
        *WHOSE,
        Column("kind", WORD, "'no_value', 'stuck', 'slow_to_follow', …", nullable=False),
        Column("start", TIME, "First second, on the reference's clock", nullable=False),
        Column("end", TIME, "The second after the last", nullable=False),
        Column("start_s", COUNT, "First second since the session's first", "s", False),
        Column("end_s", COUNT, "The second after the last since then", "s", False),
        Column("share", REAL, "Share of the session's length", nullable=False),
        Column(
            "mean_error_bpm", REAL, "Mean of device minus reference, what stands out aside", "bpm"
        ),
        Column("peak_error_bpm", REAL, "Largest error either way, signed", "bpm"),
        Column("evidence", TEXT, "Why it is of its kind, in a sentence", nullable=False),
        Column(
            "on_track_after_s",
            COUNT,
            "Time on track from its end to the next episode or the session's end",
            "s",
            nullable=False,
        ),
        Column("in_step_percent", REAL, "The one share by which it was off throughout", "%"),
        Column("drift_from_s", COUNT, "From when its error grew evenly; missing if not", "s"),
        Column("drift_from_bpm", REAL, "That error then", "bpm"),
        Column("drift_to_bpm", REAL, "That error at its end", "bpm"),
        Column("highest_bpm", REAL, "The device's highest value in it", "bpm"),
        Column("off_from_s", COUNT, "From when it was off; missing where from its start", "s"),
        Column("part_of_s", COUNT, "Start of the span in which it stands out; else missing", "s"),
    ),
    is_public=True,
    in_parts=True,
)

COURSES = Table(
    "courses",
    "How a session went for each device: where its seconds went, and what it managed when",
    (
        *WHOSE,
        Column("length_s", COUNT, "Length of the session", "s", False),
        Column("episodes_s", COUNT, "Time in episodes", "s", False),
        Column("on_track_s", COUNT, "Time compared and in no episode", "s", False),
        Column("faults", COUNT, "Faults; that it was late is none"),
        Column("not_compared_s", COUNT, "Time not compared and in no episode", "s", False),
        Column("before_s", COUNT, "Of that, before the recording began", "s", False),
        Column("after_s", COUNT, "Of that, after it ended", "s", False),
        Column("left_out_s", COUNT, "Of that, left out by the card", "s", False),
        Column("left_out_why", TEXT, "Why, as the card says"),
        Column("clock_unknown_s", COUNT, "Of that, with nothing to tell its clock", "s", False),
        Column(
            "strap_in_doubt_s", COUNT, "Of that, with the strap missing or in doubt", "s", False
        ),
        Column("short_gaps_s", COUNT, "Of that, in gaps too short to be a fault", "s", False),
        Column(
            "not_testable",
            TEXT,
            "Kinds of episode that could not be looked for, and why, as JSON; missing if none",
        ),
        Column("began_s", COUNT, "First second that could be compared", "s", False),
        Column("first_lock_s", COUNT, "When it first stayed near the reference", "s"),
        Column("settled_s", COUNT, "From when it was near nearly all the time", "s"),
        Column("longest_start_s", COUNT, "Start of the longest time on track", "s"),
        Column("longest_end_s", COUNT, "The second after its end", "s"),
        Column("longest_error_bpm", REAL, "Mean absolute error in it", "bpm"),
        Column("peaks", COUNT, "Peaks of the reference that could be judged", nullable=False),
        Column("peaks_reached", COUNT, "Those the device reached", nullable=False),
        Column("peaks_overshot", COUNT, "Those it went beyond"),
        Column("interval_s", REAL, "Usual time between reports of the slower of both", "s"),
        Column("compared_s", COUNT, "Seconds at which it was compared", "s"),
        Column("mean_reference_bpm", REAL, "Mean of the reference over them", "bpm"),
        Column("mean_device_bpm", REAL, "Mean of the device", "bpm"),
        Column("maximum_reference_bpm", REAL, "Highest value of the reference", "bpm"),
        Column("maximum_device_bpm", REAL, "Highest value of the device", "bpm"),
        Column("maximum_at_s", COUNT, "When the device first showed it", "s"),
        Column("maximum_without_spikes_bpm", REAL, "The same with spikes left out", "bpm"),
        Column("error_bpm", REAL, "Mean absolute error where it was compared", "bpm"),
        Column("delay_s", REAL, "How late it was throughout, by the reference", "s"),
        Column(
            "clock_is_open", pa.bool_(), "Whether lateness may be its clock's: nothing tells that"
        ),
        Column("error_without_delay_bpm", REAL, "The error with that taken out", "bpm"),
        Column(
            "outline",
            TEXT,
            "Least and greatest of device minus reference in each fortieth of the session, to a "
            "whole beat, as JSON; null where nothing was compared",
        ),
    ),
    is_public=True,
    in_parts=True,
)

CONSEQUENCES = Table(
    "consequences",
    "What a session's heart rates add up to, by the reference and by each device, over the "
    "seconds compared; one quantity a row, and one a peak",
    (
        *WHOSE,
        ALIGNMENT,
        Column("quantity", WORD, "'band:<band>', 'wrong_band', 'banister', 'peak', …", "", False),
        Column(
            "at_s",
            COUNT,
            "Second of a single peak, or of the effort's end, since the session's first; missing "
            "where it is of the whole session",
            "s",
        ),
        # It tells the wearer's maximum.
        Column(
            "from_bpm", REAL, "Rate from which, or above which, time counts", "bpm", personal=True
        ),
        Column("unit", WORD, "Unit of the values", nullable=False),
        Column("reference_value", REAL, "By the reference; missing of a delay"),
        Column("device_value", REAL, "By the device; missing of a delay"),
        Column("difference", REAL, "Device minus reference, or how late", nullable=False),
        Column("low", REAL, "Lower end of its 95 % interval; missing where there is none"),
        HIGH,
        Column("n", COUNT, "Seconds compared that it sums; peaks that it averages", "", False),
    ),
    is_public=True,
    in_parts=True,
)

SENTENCES = Table(
    "sentences",
    "What there is to say of a device in a session, in plain sentences",
    (
        SESSION,
        DEVICE,
        RECORDING,
        Column("form", WORD, "'line', 'course', 'finding', 'aside', 'aloud', …", nullable=False),
        Column("place", COUNT, "Order within the form, from 0", nullable=False),
        Column("text", TEXT, "The sentence", nullable=False),
    ),
    is_public=True,
    in_parts=True,
)

STATED = Table(
    "stated",
    "What apps show of a session, as the tester typed it: beside the device's own export, or, "
    "where it exports nothing, beside the strap",
    (
        *WHOSE,
        STATED_FIGURE,
        AGAINST,
        UNIT,
        Column("stated", REAL, "The figure as the app states it", nullable=False),
        Column("measured", REAL, "By what it is held against; missing where that has too little"),
        Column("difference", REAL, "Stated minus measured"),
        Column("rounding", REAL, "What rounding accounts for is less than this", nullable=False),
        Column("over_s", REAL, "Time recorded that the measured figure is of", "s", False),
        Column("began", TIME, "From when on, where it is held against the strap"),
        Column("sentence", TEXT, "What there is to say of it", nullable=False),
    ),
    is_public=True,
    in_parts=True,
)
