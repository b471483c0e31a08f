"""Words of the domain that stand in tables, records and cards: each is typed here and nowhere else
(tests/unit/test_vocabulary.py).

An enumeration for each set; a member is its word, and is written as that word. Then words of ours
that stand in columns beside words from cards, exports and the register. Each of those has a space,
and none of theirs ever has: a card's are held to `documents.Word`, a file's are turned into that by
`slug`. So whatever a card says, nothing takes the one for the other.
"""

from enum import StrEnum


class Clocks(StrEnum):
    """The two views of a session: how the devices' clocks are taken."""

    # By evidence, or as recorded where there is none: the headline, and what claims rest on.
    SETTLED = "settled"
    # The device's constant delay taken out: how much of its error is lateness.
    DELAY_OUT = "delay_out"


class Scope(StrEnum):
    """What part of a session a figure is about; with a colon, how the names of such parts begin."""

    WHOLE = "whole"
    # Whatever speaks against a second.
    UNCUT = "uncut"
    SEGMENT = "segment:"
    # A band of effort.
    INTENSITY = "intensity:"
    # Means over so many seconds.
    EPOCH = "epoch:"
    # The seconds in which another recording was compared too.
    BESIDE = "beside:"
    # The same, with the other recording in the place of the reference.
    AGAINST = "against:"


class Status(StrEnum):
    """Whether a second was compared, or why not; with a colon, what the card's reason follows."""

    COMPARED = "compared"
    # Between a recording's first sample and its last.
    NO_DEVICE = "no_device"
    BEFORE_RECORDING = "before_recording"
    AFTER_RECORDING = "after_recording"
    EXCLUDED = "excluded: "
    NO_REFERENCE = "no_reference"
    REFERENCE_FLAT = "reference_flat"
    REFERENCE_STEP = "reference_step"
    REFERENCE_ARTEFACTS = "reference_artefacts"
    REFERENCE_SETTLING = "reference_settling"
    # By what its own signal shows there, and by devices that agree.
    REFERENCE_ALONE = "reference_alone"
    COPY_OF_REFERENCE = "copy_of_reference"
    CLOCK_STEPS = "clock_steps"
    REFERENCE_SET_ASIDE = "reference_set_aside"


class Decision(StrEnum):
    """What was decided of a recording's clock."""

    # By the session card.
    STATED = "stated"
    TRUSTED = "trusted"
    # By speed, cadence or power in both files.
    CHANNELS = "channels"
    SATELLITES = "satellites"
    # By another device of the session whose clock has the same source.
    BENCH = "bench"
    # By heart rate, where no sensor can explain the shift.
    ESTIMATED = "estimated"
    # Left as recorded: nothing tells.
    REFUSED = "refused"
    # The clocks part in mid-session.
    STEPPING = "stepping"
    # The recording is the reference's own signal.
    COPY = "copy"


class TimeSource(StrEnum):
    """What sets a device's clock, as far as the tester knows."""

    PHONE = "phone"
    SATELLITE = "satellite"
    OWN = "own"


class Faulty(StrEnum):
    """Which of two references worn at once is the faulty one."""

    FIRST = "first"
    SECOND = "second"
    NEITHER = "neither"
    UNCLEAR = "unclear"


class Fault(StrEnum):
    """In which way a device is not right for a while, in order of precedence."""

    NO_VALUE = "no_value"
    STUCK = "stuck"
    SLOW_TO_FOLLOW = "slow_to_follow"
    FOLLOWS_CADENCE = "follows_cadence"
    SPIKE = "spike"
    READS_LOW = "reads_low"
    READS_HIGH = "reads_high"


class StatedFigure(StrEnum):
    """What an app shows of a session, in a number."""

    AVERAGE = "stated_average"
    MAXIMUM = "stated_maximum"
    MINIMUM = "stated_minimum"
    DURATION = "stated_duration"


class HeldAgainst(StrEnum):
    """What a stated figure is held against: the device's own export, or, without one, the strap."""

    EXPORT = "own_export"
    STRAP = "the_strap"


class Flag(StrEnum):
    """Whether a sample or an RR interval is used, or why not."""

    KEPT = "kept"
    NO_TIME = "no_time"
    FAR_OFF_TIME = "far_off_time"
    NO_VALUE = "no_value"
    ZERO = "zero"
    IMPLAUSIBLE = "implausible"
    REPEATED_TIME = "repeated_time"
    SUDDEN_CHANGE = "sudden_change"


class Role(StrEnum):
    """What a recording is for."""

    REFERENCE = "reference"
    TEST = "test"


class Placement(StrEnum):
    """Where on the body; `arm` is an arm of which nobody says which part."""

    CHEST = "chest"
    LEFT_WRIST = "left_wrist"
    RIGHT_WRIST = "right_wrist"
    LEFT_FINGER = "left_finger"
    RIGHT_FINGER = "right_finger"
    LEFT_FOREARM = "left_forearm"
    RIGHT_FOREARM = "right_forearm"
    LEFT_UPPER_ARM = "left_upper_arm"
    RIGHT_UPPER_ARM = "right_upper_arm"
    LEFT_ARM = "left_arm"
    RIGHT_ARM = "right_arm"
    LEFT_EAR = "left_ear"
    RIGHT_EAR = "right_ear"
    LEFT_ANKLE = "left_ankle"
    RIGHT_ANKLE = "right_ankle"
    OTHER = "other"


class SensorKind(StrEnum):
    """What kind of device."""

    CHEST_STRAP = "chest_strap"
    ELECTROCARDIOGRAM = "electrocardiogram"
    WRIST = "wrist"
    ARM = "arm"
    FINGER = "finger"
    EAR = "ear"
    OTHER = "other"


# Where neither settings nor sessions name an activity: walking, running and cycling as the
# expert statement has it (Mühlen et al. 2021), and what moves or strains the wrist.
FIRST_ACTIVITIES = ("walk", "run", "ride", "intervals", "strength")

# Where a kind of device may be worn, the usual first; any place where a kind is not named.
WORN_AT: dict[str, tuple[Placement, ...]] = {
    SensorKind.CHEST_STRAP: (Placement.CHEST,),
    SensorKind.ELECTROCARDIOGRAM: (Placement.CHEST,),
    SensorKind.WRIST: (Placement.LEFT_WRIST, Placement.RIGHT_WRIST),
    SensorKind.ARM: (
        Placement.LEFT_UPPER_ARM,
        Placement.RIGHT_UPPER_ARM,
        Placement.LEFT_FOREARM,
        Placement.RIGHT_FOREARM,
    ),
    SensorKind.FINGER: (Placement.LEFT_FINGER, Placement.RIGHT_FINGER),
    SensorKind.EAR: (Placement.LEFT_EAR, Placement.RIGHT_EAR),
}


class FileClock(StrEnum):
    """What a file's own times are: in UTC, by a wall clock of no stated zone, or since a start."""

    UTC = "utc"
    LOCAL = "local"
    ELAPSED = "elapsed"


class DateOrder(StrEnum):
    """What 03/04 means."""

    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"


class NoticeKind(StrEnum):
    """What a reader of the results is told: something set aside, a file that breaks off, a clock,
    an assumption."""

    SET_ASIDE = "set_aside"
    BROKEN_OFF = "broken_off"
    CLOCK = "clock"
    ASSUMED = "assumed"


class MaximumSource(StrEnum):
    """Whence a maximum heart rate is known."""

    STATED = "stated"
    TANAKA_2001 = "tanaka_2001"
    NES_2013 = "nes_2013"
    OBSERVED = "observed"


class Sex(StrEnum):
    FEMALE = "female"
    MALE = "male"


class Verdict(StrEnum):
    """Whether something may be said of a device in general, what may be said first."""

    SHOWN = "shown"
    DEPENDS = "depends on the activity"
    BELOW_MARGIN = "below the margin"
    NOT_YET = "not yet"


class Strength(StrEnum):
    """How much a claim dares: of these sessions, with "tends to", or without."""

    DID = "did"
    TENDS = "tends"
    DOES = "does"


# Wearer or activity of a session where neither the card nor a file says.
UNSTATED = "not stated"
# Where a figure is over every activity.
ALL_ACTIVITIES = "all activities"
# Where it is over every kind of episode but lateness.
ANY_KIND = "any kind"
# Where a device sat, beside the conditions that cards name.
PLACEMENT = "placement on the body"

# The second, where a picture has no room for it.
ALL = "all"

OURS = frozenset({UNSTATED, ALL_ACTIVITIES, ANY_KIND, PLACEMENT})

# How the clocks were taken.
VIEWS: dict[str, str] = {Clocks.SETTLED: "as it is", Clocks.DELAY_OUT: "delay taken out"}


def root(word: str) -> str:
    """What random numbers go by: the whole of another's word, and of ours the first part, so that
    figures stay where our wording moves."""
    return word.partition(" ")[0]
