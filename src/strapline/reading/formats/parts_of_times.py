"""Times whose parts stand in columns of their own: hours, minutes and seconds, days, zones."""

import re
from collections.abc import Sequence

from strapline.reading.formats.heading import Heading, Meaning
from strapline.reading.formats.numbers import measured

_HOURS_AND_MINUTES = re.compile(r"[+-][0-9]{4}")

Cells = Sequence[str | None]
Placed = tuple[int, Heading, Cells]


def in_one(columns: Sequence[tuple[Heading, Cells]]) -> list[Placed]:
    """The columns, each with its place, with parts joined where the first of them stands, and zones
    written behind the times of day."""
    placed = [(n, heading, cells) for n, (heading, cells) in enumerate(columns)]
    parts = {heading.part: (n, cells) for n, heading, cells in placed if heading.part}
    whole = [one for one in placed if not one[1].part and one[1].meaning != Meaning.ZONE]
    if parts:
        whole.append((min(n for n, _ in parts.values()), Heading(Meaning.TIME), _clock(parts)))
    if {"year", "month", "day"} <= parts.keys():
        days = _written("{:04.0f}-{:02.0f}-{:02.0f}", parts, ("year", "month", "day"))
        whole.append((parts["year"][0], Heading(Meaning.DATE), days))
    stated = next(((h, cells) for _, h, cells in placed if h.meaning == Meaning.ZONE), None)
    zones = [_zone(cell, stated[0].worth) for cell in stated[1]] if stated else None
    return whole if zones is None else [_in_zone(one, zones) for one in whole]


def _clock(parts: dict[str, tuple[int, Cells]]) -> Cells:
    if "hour" in parts:
        return _written("{:02.0f}:{:02.0f}:{:06.3f}", parts, ("hour", "minute", "second"))
    return _written("{:.0f}:{:06.3f}", parts, ("minute", "second"))


def _written(form: str, parts: dict[str, tuple[int, Cells]], names: Sequence[str]) -> Cells:
    rows = zip(*([measured(cell) for cell in parts[name][1]] for name in names), strict=True)
    return [form.format(*row) if all(n == n for n in row) else None for row in rows]


def _zone(cell: str | None, unit_s: float | None) -> str | None:
    """'+02:00' for a number of hours, minutes or seconds, by its unit or else by its size; others
    as they are."""
    value = measured(cell)
    if value != value or _HOURS_AND_MINUTES.fullmatch(cell or ""):
        return cell
    by_size = 3600 if abs(value) <= 14 else 60 if abs(value) <= 14 * 60 else 1
    minutes = round(value * (unit_s or by_size) / 60)
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02}:{abs(minutes) % 60:02}"


def _in_zone(column: Placed, zones: Cells) -> Placed:
    place, heading, cells = column
    if heading.meaning != Meaning.TIME:
        return column
    pairs = zip(cells, zones, strict=True)
    zoned = [
        f"{cell} {zone}" if cell and zone and ":" in cell and not cell.endswith("Z") else cell
        for cell, zone in pairs
    ]
    return place, heading, zoned
