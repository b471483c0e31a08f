"""FIT files byte by byte, written from the protocol's description and not from the reader."""

import struct
from collections.abc import Sequence
from typing import Any

EPOCH = 631_065_600
UINT8, UINT16, UINT32, BYTE, ENUM, STRING, SINT32 = 0x02, 0x84, 0x86, 0x0D, 0x00, 0x07, 0x85
_STRUCTS = {UINT8: "B", UINT16: "H", UINT32: "I", BYTE: "B", ENUM: "B", STRING: "s", SINT32: "i"}

Fields = Sequence[tuple[int, int, int]]
"""Field number, base type, how many of them."""


def crc(data: bytes) -> int:
    """CRC-16/ARC, bit by bit."""
    value = 0
    for byte in data:
        value ^= byte
        for _ in range(8):
            value = (value >> 1) ^ 0xA001 if value & 1 else value >> 1
    return value


def definition(local: int, message: int, fields: Fields) -> bytes:
    head = struct.pack("<BBBHB", 0x40 | local, 0, 0, message, len(fields))
    sizes = (
        (number, struct.calcsize(_STRUCTS[kind]) * count, kind) for number, kind, count in fields
    )
    return head + b"".join(struct.pack("BBB", *size) for size in sizes)


def data(local: int, fields: Fields, *values: Any, header: int | None = None) -> bytes:
    code = "<" + "".join(f"{count}{_STRUCTS[kind]}" for _, kind, count in fields)
    return bytes([local if header is None else header]) + struct.pack(code, *values)


def message(local: int, number: int, fields: Fields, *rows: Sequence[Any]) -> bytes:
    """A definition and one data message a row."""
    return definition(local, number, fields) + b"".join(data(local, fields, *r) for r in rows)


def fit_file(*contents: bytes) -> bytes:
    body = b"".join(contents)
    header = struct.pack("<BBHI4s", 14, 0x20, 2132, len(body), b".FIT")
    whole = header + struct.pack("<H", crc(header)) + body
    return whole + struct.pack("<H", crc(whole))


RECORD: Fields = [(253, UINT32, 1), (3, UINT8, 1), (4, UINT8, 1)]


def records(*rows: tuple[int, int, int]) -> bytes:
    """Records of timestamp, heart rate and cadence; 255 is invalid."""
    return message(0, 20, RECORD, *rows)


def session(sport: int) -> bytes:
    return message(1, 18, [(5, ENUM, 1)], (sport,))
