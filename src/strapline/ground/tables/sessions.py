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
from strapline.ground.tables.table import COUNT, REAL, TEXT, TIME, WORD, Column, Table, required

ALIGNED = Table(
    "aligned",
    "Reference and device second by second on one grid, in both views of the clocks",
    (
        RECORDING,
        DEVICE,
        ALIGNMENT,
        required("time", TIME, "Second of the reference's clock"),
        Column("reference_bpm", REAL, "Heart rate of the reference", "bpm"),
        Column("device_bpm", REAL, "Heart rate of the device", "bpm"),
        required("status", WORD, "'compared', or why the second is not"),
        required(
            "stands_for_s", REAL, "Time that the report there stands for; 0 if one is missing", "s"
        ),
    ),
)

OFFSETS = Table(
    "offsets",
    "How each device's error depends on its clock: the session at every offset within a minute",
    (
        RECORDING,
        DEVICE,
        required(
            "offset_s",
            REAL,
            "Offset added to the device's times, besides any whole quarters of an hour",
            "s",
        ),
        required("mae", REAL, "Mean absolute error at that offset", "bpm"),
        required("bias", REAL, "Mean difference at that offset", "bpm"),
        required("n", COUNT, "Seconds compared at that offset", "s"),
    ),
)

METRICS = Table(
    "metrics",
    "Agreement of each device with the reference, one figure a row",
    (
        *WHOSE,
        required(
            "scope",
            WORD,
            "'whole', 'segment:<label>', 'intensity:<band>', 'uncut', 'epoch:<s>', "
            "'beside:<recording>', where that one was compared too, or 'against:<recording>', "
            "where that one is in the reference's place",
        ),
        ALIGNMENT,
        METRIC,
        Column("value", REAL, "The figure; missing where it is not defined"),
        Column("ci_low", REAL, "Lower end of its 95 % interval; missing where the data allow none"),
        Column("ci_high", REAL, "Upper end of its 95 % interval"),
        UNIT,
        required("n", COUNT, "Time compared that the figure rests on", "s"),
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
        required("difference_bpm", COUNT, "Device minus reference, to a whole beat", "bpm"),
        required(
            "share",
            REAL,
            "Share of the session's seconds; those of two recordings of a device count together",
        ),
    ),
)

EPISODES = Table(
    "episodes",
    "Every span of a session in which a device is not right, and what stands out within such a "
    "span, in the aligned view of the clocks",
    (
        *WHOSE,
        required("kind", WORD, "'no_value', 'stuck', 'slow_to_follow', …"),
        required("start", TIME, "First second, on the reference's clock"),
        required("end", TIME, "The second after the last"),
        required("start_s", COUNT, "First second since the session's first", "s"),
        required("end_s", COUNT, "The second after the last since then", "s"),
        required("share", REAL, "Share of the session's length"),
        Column(
            "mean_error_bpm", REAL, "Mean of device minus reference, what stands out aside", "bpm"
        ),
        Column("peak_error_bpm", REAL, "Largest error either way, signed", "bpm"),
        required("evidence", TEXT, "Why it is of its kind, in a sentence"),
        required(
            "on_track_after_s",
            COUNT,
            "Time on track from its end to the next episode or the session's end",
            "s",
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
        required("length_s", COUNT, "Length of the session", "s"),
        required("episodes_s", COUNT, "Time in episodes", "s"),
        required("on_track_s", COUNT, "Time compared and in no episode", "s"),
        Column("faults", COUNT, "Faults; that it was late is none"),
        required("not_compared_s", COUNT, "Time not compared and in no episode", "s"),
        required("before_s", COUNT, "Of that, before the recording began", "s"),
        required("after_s", COUNT, "Of that, after it ended", "s"),
        required("left_out_s", COUNT, "Of that, left out by the card", "s"),
        Column("left_out_why", TEXT, "Why, as the card says"),
        required("clock_unknown_s", COUNT, "Of that, with nothing to tell its clock", "s"),
        required("strap_in_doubt_s", COUNT, "Of that, with the strap missing or in doubt", "s"),
        required("short_gaps_s", COUNT, "Of that, in gaps too short to be a fault", "s"),
        Column(
            "not_testable",
            TEXT,
            "Kinds of episode that could not be looked for, and why, as JSON; missing if none",
        ),
        required("began_s", COUNT, "First second that could be compared", "s"),
        Column("first_lock_s", COUNT, "When it first stayed near the reference", "s"),
        Column("settled_s", COUNT, "From when it was near nearly all the time", "s"),
        Column("longest_start_s", COUNT, "Start of the longest time on track", "s"),
        Column("longest_end_s", COUNT, "The second after its end", "s"),
        Column("longest_error_bpm", REAL, "Mean absolute error in it", "bpm"),
        required("peaks", COUNT, "Peaks of the reference that could be judged"),
        required("peaks_reached", COUNT, "Those the device reached"),
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
        required("quantity", WORD, "'band:<band>', 'wrong_band', 'banister', 'peak', …"),
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
        required("unit", WORD, "Unit of the values"),
        Column("reference_value", REAL, "By the reference; missing of a delay"),
        Column("device_value", REAL, "By the device; missing of a delay"),
        required("difference", REAL, "Device minus reference, or how late"),
        Column("low", REAL, "Lower end of its 95 % interval; missing where there is none"),
        HIGH,
        required("n", COUNT, "Seconds compared that it sums; peaks that it averages"),
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
        required("form", WORD, "'line', 'course', 'finding', 'aside', 'aloud', …"),
        required("place", COUNT, "Order within the form, from 0"),
        required("text", TEXT, "The sentence"),
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
        required("stated", REAL, "The figure as the app states it"),
        Column("measured", REAL, "By what it is held against; missing where that has too little"),
        Column("difference", REAL, "Stated minus measured"),
        required("rounding", REAL, "What rounding accounts for is less than this"),
        required("over_s", REAL, "Time recorded that the measured figure is of", "s"),
        Column("began", TIME, "From when on, where it is held against the strap"),
        required("sentence", TEXT, "What there is to say of it"),
    ),
    is_public=True,
    in_parts=True,
)
