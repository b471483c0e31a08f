"""What all sessions together give."""

import json
from collections.abc import Mapping
from typing import Any

import pandas as pd
import pyarrow as pa

from strapline.ground.tables.shared import (
    ACTIVITY,
    ACTIVITY_OR_ALL,
    AGAINST,
    ALIGNMENT,
    DEVICE,
    HIGH,
    METRIC,
    MINUTES,
    RECORDING,
    SESSION,
    STATED_FIGURE,
    UNIT,
    WEARER,
    WEARERS,
)
from strapline.ground.tables.table import COUNT, REAL, TEXT, TIME, WORD, Column, Table, required

# By device, and by device and place.
Labels = dict[str | tuple[str, str], str]

HIGH_AN_HOUR = Column("high", REAL, "Upper end of its 95 % interval", "min/h")
LOW_AN_HOUR = Column("low", REAL, "Lower end of its 95 % interval", "min/h")

STANDINGS = Table(
    "standings",
    "What the archive says of each device at each activity; one row a device and activity, "
    "and one a device over those activities at which every device was compared, each of which "
    "counts alike there",
    (
        DEVICE,
        ACTIVITY_OR_ALL,
        ALIGNMENT,
        required("sessions", COUNT, "Sessions that count"),
        required("as_stated", COUNT, "Of these, sessions counted as the device's app states"),
        WEARERS,
        required("minutes", REAL, "Time compared", "min"),
        METRIC,
        UNIT,
        Column("mean", REAL, "Mean of the sessions' figures; over all activities, of their means"),
        Column("sd", REAL, "Standard deviation between them; missing for one"),
        Column("lowest", REAL, "Lowest of them"),
        Column("median", REAL, "Median of them"),
        Column("highest", REAL, "Highest of them"),
        Column("over_all", pa.bool_(), "Whether its activity counts over all activities"),
    ),
    is_public=True,
)

APPS = Table(
    "apps",
    "How far the figures that each device's app states are from its own export, and, of a device "
    "that exports nothing, from the strap; over sessions",
    (
        DEVICE,
        STATED_FIGURE,
        AGAINST,
        UNIT,
        required("sessions", COUNT, "Sessions with such a figure"),
        required("mean", REAL, "Mean over sessions of stated minus measured"),
        required("lowest", REAL, "Lowest of them"),
        required("highest", REAL, "Highest of them"),
        required(
            "beyond_rounding", COUNT, "Sessions in which rounding cannot account for the difference"
        ),
    ),
    is_public=True,
)

FINDINGS = Table(
    "findings",
    "What the sessions together say of each device at each activity and over all, with "
    "intervals; the session is the unit; one statistic a row",
    (
        DEVICE,
        ACTIVITY_OR_ALL,
        ALIGNMENT,
        required("statistic", WORD, "Name of the statistic"),
        Column("value", REAL, "The statistic; missing where it is not defined"),
        Column("low", REAL, "Lower end of its interval: 95 %, of equivalence 1 - 2 alpha"),
        Column("high", REAL, "Upper end of its interval"),
        required("unit", WORD, "Unit of the statistic"),
        required("sessions", COUNT, "Sessions it rests on"),
        WEARERS,
        MINUTES,
    ),
    is_public=True,
)

OF_A_PAIR = (
    required("device_a", WORD, "Device A"),
    required("device_b", WORD, "Device B"),
    ACTIVITY_OR_ALL,
    ALIGNMENT,
    METRIC,
    UNIT,
)

PAIRED = Table(
    "paired",
    "Each session in which two devices were compared, as the comparisons count it: a figure of A "
    "minus that of B, over the seconds in which both were compared",
    (*OF_A_PAIR, SESSION, required("difference", REAL, "A minus B; below 0, A was closer")),
    is_public=True,
)

COMPARISONS = Table(
    "comparisons",
    "Devices worn in the same sessions, as pairs: a figure of A minus that of B in each session, "
    "over the seconds in which both were compared",
    (
        *OF_A_PAIR,
        required("sessions", COUNT, "Sessions with both"),
        WEARERS,
        required("minutes", REAL, "Time in which both were compared", "min"),
        Column("difference", REAL, "Median of A minus B; below 0, A was closer"),
        Column("low", REAL, "Lower end of its interval, of 95 % for all `pairs` together"),
        Column("high", REAL, "Upper end of its interval, of 95 % for all `pairs` together"),
        Column("p", REAL, "Of no difference in the typical session, by the sign test", "1"),
        Column("people_p", REAL, "The same of people, by sign flips of six wearers or more", "1"),
        Column("pairs", COUNT, "Pairs judged together: over all activities, or at single ones"),
        Column(
            "sessions_needed",
            COUNT,
            "Fewest sessions with which this test could show a difference at all",
        ),
        Column("p_family", REAL, "p times `pairs` (Bonferroni), at most 1", "1"),
        Column("people_p_family", REAL, "people_p times `pairs`, at most 1", "1"),
        Column("closer", REAL, "Share of sessions in which A was closer, ties as halves", "1"),
        Column("closer_low", REAL, "Lower end of its 95 % interval", "1"),
        Column("closer_high", REAL, "Upper end of its 95 % interval", "1"),
        Column("failed_a", COUNT, "Sessions in which A failed: too little time within tolerance"),
        Column("failed_b", COUNT, "Those in which B failed"),
        required("a_left", COUNT, "Sessions with A on the left wrist and B on the right"),
        required("a_right", COUNT, "Sessions the other way round"),
        required(
            "confounded",
            pa.bool_(),
            "A was never on both wrists, or nobody says: device and wrist cannot be told apart",
        ),
        Column("balanced", REAL, "The difference as if each had been on either wrist as often"),
        Column("balanced_low", REAL, "Lower end of its 95 % interval"),
        Column("balanced_high", REAL, "Upper end of its 95 % interval"),
    ),
    is_public=True,
)

FIRMWARE = Table(
    "firmware",
    "How a device's figures changed from one stated firmware to the next",
    (
        DEVICE,
        ACTIVITY_OR_ALL,
        ALIGNMENT,
        METRIC,
        UNIT,
        required("firmware_before", TEXT, "Firmware of the earlier sessions"),
        required("firmware_after", TEXT, "Firmware of the later sessions"),
        Column("before", REAL, "Mean of the sessions before"),
        Column("after", REAL, "Mean of the sessions after"),
        Column("change", REAL, "After minus before"),
        Column("low", REAL, "Lower end of its 95 % interval"),
        HIGH,
        Column("p", REAL, "Of no change, two-sided", "1"),
        required("sessions_before", COUNT, "Sessions before"),
        required("sessions_after", COUNT, "Sessions after"),
        WEARERS,
        MINUTES,
    ),
    is_public=True,
)

FAULTS = Table(
    "faults",
    "How much of the time a device is not right, and in which way, at each activity and over "
    "all; one kind of episode a row, and 'any kind'",
    (
        DEVICE,
        required(
            "activity", WORD, "Activity, or 'all activities'; there each activity counts alike"
        ),
        required(
            "kind", WORD, "Kind of episode, or 'any kind', of which being slow to follow is none"
        ),
        required("sessions", COUNT, "Sessions judged"),
        required("sessions_looked_for", COUNT, "Those in which the kind could be looked for"),
        required("sessions_with", COUNT, "Those in which the kind occurred"),
        required("wearers", COUNT, "Different stated wearers in the sessions judged"),
        required("minutes", REAL, "Time judged: on track or in an episode", "min"),
        required("episodes", COUNT, "Episodes of the kind"),
        Column(
            "minutes_per_hour", REAL, "Time in them, of an hour judged in those sessions", "min/h"
        ),
        LOW_AN_HOUR,
        HIGH_AN_HOUR,
        Column("median_length_s", REAL, "Length of the median episode", "s"),
        Column("mean_error_bpm", REAL, "Size of the episodes' mean errors, by their time", "bpm"),
        required("came_back", COUNT, "Episodes after which the device was on track again"),
    ),
    is_public=True,
)

CONDITIONS = Table(
    "conditions",
    "How much longer a device is not right under one condition than under another, sessions of "
    "the same activity compared; figures are missing where a side has too few sessions",
    (
        DEVICE,
        required("condition", TEXT, "Name on the session card, or 'placement on the body'"),
        required("value_a", TEXT, "What holds in the sessions of side A"),
        required("value_b", TEXT, "What holds in those of side B"),
        required("sessions_a", COUNT, "Sessions of A at activities that B has too"),
        required("sessions_b", COUNT, "Sessions of B at activities that A has too"),
        required("wearers", COUNT, "Stated wearers, of the side with fewer"),
        required("minutes", REAL, "Time judged, of the side with less", "min"),
        required("confounded", pa.bool_(), "No stated wearer is on both sides"),
        Column("difference", REAL, "Time in episodes, of an hour judged: A minus B", "min/h"),
        LOW_AN_HOUR,
        HIGH_AN_HOUR,
        Column("p", REAL, "Of no difference, by permutation, two-sided", "1"),
        Column("p_family", REAL, "The same after Holm's adjustment for all of the table", "1"),
    ),
    is_public=True,
)

SESSIONS = Table(
    "sessions",
    "One row a session: when, who, what",
    (
        SESSION,
        required("title", TEXT, "Name of its folder in the inbox"),
        WEARER,
        ACTIVITY,
        Column("started_at", TIME, "First second of the reference"),
        Column("minutes", REAL, "Length of the reference", "min"),
        Column("reference", TEXT, "Device used as the reference"),
        required("devices", COUNT, "Devices compared with it"),
        required("clocks_aligned", COUNT, "Of their clocks, those that are settled"),
        required("clocks_left", COUNT, "Those of which nothing sure tells"),
        Column("conditions", TEXT, "Conditions its card states, as JSON; missing if none"),
        Column("set_aside", TEXT, "Why the session is no evidence, where it is not"),
    ),
    is_public=True,
)

PLACEMENTS = Table(
    "placements",
    "Where each device under test was worn and what ran on it; one row a usable recording",
    (
        SESSION,
        RECORDING,
        DEVICE,
        required("placement", WORD, "Where it was worn"),
        Column("firmware", TEXT, "Firmware, where somebody states it"),
        Column("not_counted", TEXT, "Why it is in nothing that is said over sessions, if so"),
    ),
    is_public=True,
)

DEVICES = Table(
    "devices",
    "Every device that was compared or served as the reference",
    (
        required("device", TEXT, "Short name of the device"),
        required("label", TEXT, "Name as results show it"),
        Column(
            "labels_at",
            TEXT,
            "The same at an activity, or in a session, where another mark goes with it, as JSON",
        ),
        required("kind", WORD, "What kind of device it is"),
        Column("form", TEXT, "Its form, as the register says"),
        Column("class", TEXT, "The tester's own class of devices that it is read in"),
        Column("price", REAL, "What it cost, in `currency`"),
        Column("currency", TEXT, "By its three letters in ISO 4217"),
        Column("price_date", TEXT, "When it cost that, YYYY-MM-DD"),
    ),
    is_public=True,
)

NOTICES = Table(
    "notices",
    "What was set aside and why, and what was assumed where nothing was said",
    (
        required("session", WORD, "Session; empty for the inbox itself"),
        Column("recording", TEXT, "Recording, where it concerns only one"),
        required("kind", WORD, "'set_aside', 'broken_off', 'clock' or 'assumed'"),
        required("text", TEXT, "The notice in plain words"),
    ),
    is_public=True,
)


def labels_of(devices: pd.DataFrame) -> Labels:
    """What each device of a frame under DEVICES is called; see `called`."""
    labels: Labels = dict(zip(devices["device"], devices["label"], strict=True))
    for device, at in devices[["device", "labels_at"]].dropna().to_numpy():
        labels |= {(device, place): label for place, label in json.loads(at).items()}
    return labels


def called(labels: Mapping[Any, str], device: str, at: str = "") -> str:
    """What a device is called over sessions; at an activity, or `in_session` a session, with the
    mark that goes with it there."""
    return labels.get((device, at)) or labels.get(device, device)


def in_session(session: str) -> str:
    """A session among places, where no activity is called so."""
    return f"session {session}"
