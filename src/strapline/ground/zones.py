"""Time zones by name: IANA's, or a distance from UTC such as UTC+02:00."""

import datetime as dt
import re
from typing import Annotated
from zoneinfo import ZoneInfo, available_timezones

from pydantic import AfterValidator

from strapline.ground.mistakes import nearest

_FIXED = re.compile(r"UTC(?P<sign>[+-])(?P<hours>[01][0-9]|2[0-3]):(?P<minutes>[0-5][0-9])")

# Files beside the zones that stand for whatever a machine is set to.
_OF_NO_PLACE = {"localtime", "Factory"}


def zone_named(name: str) -> dt.tzinfo:
    fixed = _FIXED.fullmatch(name)
    if fixed is None:
        return ZoneInfo(name)
    ahead = dt.timedelta(hours=int(fixed["hours"]), minutes=int(fixed["minutes"]))
    return dt.timezone(-ahead if fixed["sign"] == "-" else ahead)


def fixed_zone(offset_s: int) -> str:
    """The name of the zone that is always `offset_s`, less than a day, ahead of UTC.

    No zone in use has seconds; they are left out.
    """
    hours, minutes = divmod(abs(offset_s) // 60, 60)
    return f"UTC{'-' if offset_s < 0 else '+'}{hours:02}:{minutes:02}"


def in_utc(reading: dt.datetime, zone: str) -> dt.datetime:
    """A wall-clock reading in `zone` (whatever zone it carries is a stand-in) as UTC.

    An hour that occurs twice when summer time ends is taken as the first of the two.
    """
    try:
        return reading.replace(tzinfo=zone_named(zone), fold=0).astimezone(dt.UTC)
    except OverflowError:  # the first hours of year 1 or the last of 9999: no date anybody meant
        return reading.replace(tzinfo=dt.UTC)


def stated_in_utc(moment: dt.datetime, zone: str) -> dt.datetime:
    """A moment that states its zone, or else a reading in `zone`, as UTC."""
    return moment.astimezone(dt.UTC) if moment.tzinfo else in_utc(moment, zone)


def second_zone(reading: dt.datetime, zone: str) -> str | None:
    """The zone, as a distance from UTC, of the second of the two hours in which a clock in `zone`
    shows `reading`; None where it shows it once."""
    offsets = [reading.replace(tzinfo=zone_named(zone), fold=n).utcoffset() for n in (0, 1)]
    if offsets[0] is None or offsets[1] is None or offsets[1] >= offsets[0]:
        return None
    return fixed_zone(round(offsets[1].total_seconds()))


def _known(name: str) -> str:
    known = available_timezones() - _OF_NO_PLACE
    if name not in known and not _FIXED.fullmatch(name):
        near = nearest(name, known)
        hint = f" (did you mean '{near}'?)" if near else ""
        wanted = "an IANA time zone such as Europe/Lisbon, or such as UTC+02:00"
        raise ValueError(f"must be {wanted}{hint}")
    return name


Zone = Annotated[str, AfterValidator(_known)]
