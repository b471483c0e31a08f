"""A second decoder of FIT records and RR intervals, which shares no code with the reader.

Written from the FIT protocol's description, from memory.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field

EPOCH = 631_065_600
_RECORD, _HRV = 20, 78
_TIMESTAMP, _HEART_RATE, _INTERVALS = 253, 3, 0


@dataclass
class Plain:
    """Seconds since 1970 and bpm (None if invalid), a row a record; RR intervals in ms."""

    times: list[int] = field(default_factory=list)
    heart_rates: list[int | None] = field(default_factory=list)
    rr_ms: list[int] = field(default_factory=list)


@dataclass
class _Definition:
    message: int
    order: str
    fields: list[tuple[int, int]]
    size: int


def decode(data: bytes) -> Plain:
    """All files chained in `data`, which must be whole."""
    found = Plain()
    while data:
        header, length = data[0], struct.unpack_from("<I", data, 4)[0]
        for message, order, values, time in _messages(data[header : header + length]):
            if message == _RECORD:
                heart_rate = values.get(_HEART_RATE, b"\xff")[0]
                found.times.append(EPOCH + time)
                found.heart_rates.append(None if heart_rate == 255 else heart_rate)
            elif message == _HRV:
                packed = values[_INTERVALS]
                intervals = struct.unpack(f"{order}{len(packed) // 2}H", packed)
                found.rr_ms += [interval for interval in intervals if interval != 0xFFFF]
        data = data[header + length + 2 :]
    return found


def _messages(data: bytes) -> Iterator[tuple[int, str, dict[int, bytes], int]]:
    """Number, byte order, fields as bytes, and time in FIT's seconds, of each data message."""
    definitions: dict[int, _Definition] = {}
    place = time = 0
    while place < len(data):
        head = data[place]
        place += 1
        if not head & 0x80 and head & 0x40:
            definition, place = _definition(data, place, has_developer_fields=bool(head & 0x20))
            definitions[head & 0x0F] = definition
            continue
        definition = definitions[(head >> 5) & 0x03 if head & 0x80 else head & 0x0F]
        values, inner = {}, place
        for number, size in definition.fields:
            values[number] = data[inner : inner + size]
            inner += size
        place += definition.size
        if _TIMESTAMP in values:
            time = struct.unpack(f"{definition.order}I", values[_TIMESTAMP])[0]
        elif head & 0x80:
            time += ((head & 0x1F) - time) & 0x1F
        yield definition.message, definition.order, values, time


def _definition(data: bytes, place: int, has_developer_fields: bool) -> tuple[_Definition, int]:
    order = ">" if data[place + 1] else "<"
    message, count = struct.unpack_from(f"{order}HB", data, place + 2)
    place += 5
    fields = [(data[place + 3 * n], data[place + 3 * n + 1]) for n in range(count)]
    size = sum(length for _, length in fields)
    place += 3 * count
    if has_developer_fields:
        count = data[place]
        size += sum(data[place + 2 + 3 * n] for n in range(count))
        place += 1 + 3 * count
    return _Definition(message, order, fields, size), place
