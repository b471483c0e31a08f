"""Times since a session's start, as people write them."""

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from strapline.ground.documents import between

# A week: longer than any session, and short enough to be counted in seconds everywhere.
LONGEST_S = 7 * 24 * 3600

_CLOCK_READING = re.compile(r"^(?:(\d+):)?(\d{1,3}):(\d{2}(?:\.\d+)?)$")


def _seconds(value: Any) -> Any:
    """Seconds from `[h:]mm:ss`; YAML 1.1 itself reads an unquoted 12:30 as 750."""
    if not isinstance(value, str):
        return value
    match = _CLOCK_READING.match(value)
    if match is None:
        raise ValueError("must be a time such as 12:30 or 1:02:03, or a number of seconds")
    hours, minutes, seconds = match.groups(default="0")
    if float(seconds) >= 60 or (match[1] and int(minutes) >= 60):
        raise ValueError("must have less than 60 seconds, and after hours less than 60 minutes")
    return int(hours) * 3600 + int(minutes) * 60 + float(seconds)


_Counted = Annotated[float, between(0, LONGEST_S)]
Elapsed = Annotated[
    _Counted,
    BeforeValidator(_seconds, json_schema_input_type=_Counted | str),
    Field(description="[h:]mm:ss from the session's start"),
]
