"""What one heading of a table means, and in which unit."""

from dataclasses import dataclass, replace
from enum import StrEnum

from strapline.reading.formats.heading_words import Unit


class Meaning(StrEnum):
    """What a column is of."""

    TIME = "time"
    DATE = "date"
    ELAPSED = "elapsed"
    HEART_RATE = "heart_rate"
    CADENCE = "cadence"
    RR = "rr_interval"
    # Which sensor a row is from, which unit its value and which zone its time is in: none of those
    # that settings have more words for.
    SENSOR = "sensor"
    UNIT = "unit"
    ZONE = "zone"
    # What makes no table one of heart rates, and is looked for where one is known: what else was
    # measured, and when a row's time ends.
    SPEED = "speed"
    DISTANCE = "distance"
    POWER = "power"
    END = "end"


TIMES = {Meaning.TIME, Meaning.DATE, Meaning.ELAPSED}
RATES = {Meaning.HEART_RATE, Meaning.RR}
BESIDE = (Meaning.SPEED, Meaning.DISTANCE, Meaning.POWER, Meaning.END)
# Those of a table of heart rates, the likeliest times first.
MEANINGS = tuple(Meaning)[:6]
OF_TIME = TIMES | {Meaning.RR}
# No clock ticks so slowly as to count beats in parts of a second like a fifteenth.
_SHORTEST_COUNT = 1 / 60


@dataclass(frozen=True)
class Heading:
    """What one heading means.

    rank
        The lower, the sooner a column is used among others of its meaning.
    is_exact
        Whether the whole heading is a known word; else a word stands somewhere in it.
    worth
        What a value in the unit that it states is: in s of times, beats and zones, a minute of
        rates, in m/s, m or W of what else is measured; None where it states none.
    is_utc
        Whether it says that times are in UTC.
    since_midnight
        Whether it says that times count from midnight.
    part
        Which part of a time it is, such as 'minute', where others stand beside it.
    """

    meaning: Meaning
    rank: int = 0
    is_exact: bool = True
    worth: float | None = None
    is_utc: bool = False
    since_midnight: bool = False
    part: str = ""


def in_its_unit(heading: Heading, unit: Unit | None) -> Heading | None:
    """The heading with its unit, or None where it then means something else."""
    if unit is None or (unit.measures == "time of day" and heading.meaning in OF_TIME):
        return heading
    if heading.meaning in (*OF_TIME, Meaning.ZONE):
        return replace(heading, worth=unit.worth) if unit.measures == "time" else None
    if unit.measures == "rate":
        return replace(heading, worth=unit.worth)
    if heading.meaning != Meaning.HEART_RATE or unit.measures != "time" or unit.worth > 1:
        return None
    if _SHORTEST_COUNT <= unit.worth < 1:
        return replace(heading, worth=60 * unit.worth)  # 1/15 s: the beats in 15 s
    return replace(heading, meaning=Meaning.RR, worth=unit.worth)  # from beat to beat
