"""Plain text exports: a table with a heading, and RR intervals one a line."""

from zoneinfo import ZoneInfo

from strapline.demo.content import Content, whole


def csv(content: Content, time_zone: str | None) -> bytes:
    """Time, heart rate and cadence; local time of `time_zone` without saying so, or UTC."""
    lines = ["time,heart_rate_bpm,cadence_spm"]
    zone = ZoneInfo(time_zone) if time_zone else None
    columns = (content.moments(), content.heart_rate_bpm, content.cadence_per_min)
    for moment, rate, cadence in zip(*columns, strict=True):
        shown = f"{moment.astimezone(zone):%Y-%m-%d %H:%M:%S}" if zone else f"{moment:%FT%TZ}"
        lines.append(f"{shown},{_cell(rate)},{_cell(cadence)}")
    return ("\n".join(lines) + "\n").encode()


def rr_text(content: Content) -> bytes:
    """RR intervals in ms, one a line; such a file tells no time of day."""
    return "".join(f"{interval:.0f}\n" for interval in content.rr_ms).encode()


def _cell(value: float) -> str:
    number = whole(value)
    return "" if number is None else str(number)
