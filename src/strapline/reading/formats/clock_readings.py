"""Hours of half a day, and zones."""

import datetime as dt

HALF_OF_DAY = r"(?:[\s\u00a0\u202f]*(?P<half>[AaPp])\.?[\s\u00a0\u202f]?[Mm]\.?)?"


def hour_of_day(hour: int, half: str | None) -> int:
    """The hour of 24, `half` being the A of AM or the P of PM; else ValueError."""
    if half is None:
        return hour
    if not 1 <= hour <= 12:
        raise ValueError(hour)
    return hour % 12 + (12 if half in "Pp" else 0)


def zone_of(text: str | None) -> dt.timezone | None:
    """The zone of 'Z', 'UTC', '+0200' or '+02:00'."""
    if text is None:
        return None
    if text[0] not in "+-":
        return dt.UTC
    offset = dt.timedelta(hours=int(text[1:3]), minutes=int(text[-2:]))
    return dt.timezone(-offset if text[0] == "-" else offset)
