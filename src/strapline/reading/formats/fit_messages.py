"""The messages of a FIT file, as far as they are wanted and as far as the file goes."""

import struct
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, BinaryIO

import fitdecode
from fitdecode.types import BaseType, FieldDefinition

from strapline.reading.formats.export import MOST_RECORDS, refuse_beyond

TIMESTAMP = 253
# Heart rates in fields of developers' own have this number or, to tell them apart, a lower one.
DEVELOPER_HEART_RATE = -2

# fitdecode needs these whole to know the length of developer fields.
_DEVELOPER_MESSAGES = frozenset({206, 207})

_NATIVE_HEART_RATE = 3
_RECORD = 20
# Messages, and fields of definitions: a session has a few messages beside each record.
_MOST_WORK = 2 * MOST_RECORDS
_HIDDEN = -1
_OPAQUE = BaseType("opaque", identifier=-1, fmt="s", parse=lambda _: None)


@dataclass(frozen=True, slots=True)
class Message:
    """One data message, with the fields that were wanted."""

    number: int
    fields: list[Any]

    @property
    def values(self) -> dict[int, Any]:
        """Raw values by field number; None is FIT's 'invalid'."""
        return {_number(field): field.raw_value for field in self.fields}

    @property
    def names(self) -> dict[int, str]:
        """The words FIT has for the valid values, or else the values as text."""
        valid = (field for field in self.fields if field.value is not None)
        return {_number(field): str(field.value) for field in valid}


class FitStream:
    """Iterates over the wanted messages of all files chained in `data`.

    `wanted` maps message numbers to the field numbers to read; `is_heart_rate` tells whether
    that is what the name and the unit of a developer's field mean. None in place of a message
    marks the start of a chained file. After the iteration, `is_broken` tells whether the stream
    ended before its time, and `wrong_checksums` counts chained files with a wrong checksum.

    Raises UnreadableExport for more messages than any session makes.
    """

    def __init__(
        self,
        data: bytes,
        wanted: Mapping[int, frozenset[int]],
        is_heart_rate: Callable[[str, str], bool] = lambda _, __: False,
    ) -> None:
        self._data = _with_its_length(data)
        self._wanted = wanted
        self._is_heart_rate = is_heart_rate
        self._start = 0
        self.is_broken = False
        self.wrong_checksums = 0

    def __iter__(self) -> Iterator[Message | None]:
        header = None
        work = 0
        for frame in self._frames():
            work += 1
            match frame.frame_type:
                case fitdecode.FIT_FRAME_HEADER:
                    header = frame
                    yield None
                case fitdecode.FIT_FRAME_DEFINITION:
                    work += len(frame.field_defs) + len(frame.dev_field_defs)
                    self._hide_unwanted(frame)
                case fitdecode.FIT_FRAME_DATA if frame.global_mesg_num in self._wanted:
                    yield Message(frame.global_mesg_num, frame.fields)
                case fitdecode.FIT_FRAME_CRC:
                    self._check(header, frame)
            refuse_beyond(work * MOST_RECORDS // _MOST_WORK)

    def _frames(self) -> Iterator[Any]:
        try:
            # The checksum is computed below instead: six times faster.
            with fitdecode.FitReader(
                self._data,
                processor=None,
                check_crc=fitdecode.CrcCheck.DISABLED,
                error_handling=fitdecode.ErrorHandling.IGNORE,
            ) as reader:
                yield from reader
        except Exception:
            # Corrupt bytes can trip the decoder anywhere, with any exception.
            self.is_broken = True

    def _hide_unwanted(self, definition: Any) -> None:
        """Have fields that are not wanted read as opaque bytes.

        It is several times faster, and positions are not even decoded.
        """
        if definition.global_mesg_num in _DEVELOPER_MESSAGES:
            return
        # Compressed timestamps count on from the last full one, in whatever message it stands.
        wanted = self._wanted.get(definition.global_mesg_num, frozenset()) | {TIMESTAMP}
        fields: list[Any] = []
        hidden = 0
        seen: set[int] = set()
        for field in definition.all_field_defs:
            number = self._number_within(definition, field)
            asked = DEVELOPER_HEART_RATE if number < _HIDDEN else number
            if asked not in wanted or number in seen:
                hidden += field.size
                continue
            seen.add(number)
            fields += [*_opaque(hidden), _without_components(field)]
            hidden = 0
        definition.field_defs[:] = [*fields, *_opaque(hidden)]
        definition.dev_field_defs.clear()

    def _number_within(self, definition: Any, field: Any) -> int:
        if not field.is_dev:
            return int(field.def_num)
        if definition.global_mesg_num != _RECORD or field.def_num == TIMESTAMP:
            return _HIDDEN  # the decoder would take that number for a timestamp
        stated = field.field.native_field_num == _NATIVE_HEART_RATE
        named = isinstance(field.name, str) and self._is_heart_rate(
            field.name, str(field.field.units)
        )
        return _developers(field) if stated or named else _HIDDEN

    def _check(self, header: Any, footer: Any) -> None:
        end = self._start + header.header_size + header.body_size
        self.wrong_checksums += checksum(self._data[self._start : end]) != footer.crc
        self._start = end + 2


def is_fit(file: BinaryIO) -> bool:
    """Whether an unpacked `file` is FIT; it then stands at its start."""
    file.seek(0)
    head = file.read(12)
    file.seek(0)
    return head[8:] == b".FIT"


def _with_its_length(data: bytes) -> bytes:
    """A device that died before closing its file leaves its length at 0."""
    if len(data) > 16 and data[4:8] == bytes(4):
        return data[:4] + struct.pack("<I", len(data) - data[0]) + data[8:]
    return data


def checksum(data: bytes) -> int:
    """The CRC-16 (polynomial 0x8005, reflected) that closes a FIT file."""
    value = 0
    for byte in data:
        value = (value >> 8) ^ _CHECKSUMS[(value ^ byte) & 0xFF]
    return value


def _checksum_of_byte(byte: int) -> int:
    for _ in range(8):
        byte = (byte >> 1) ^ (0xA001 if byte & 1 else 0)
    return byte


_CHECKSUMS = tuple(_checksum_of_byte(byte) for byte in range(256))


def _number(field: Any) -> int:
    # A timestamp compressed into the record header has no definition of its own.
    if not field.field_def:
        return TIMESTAMP
    return _developers(field.field_def) if field.field_def.is_dev else int(field.field_def.def_num)


def _developers(definition: Any) -> int:
    return DEVELOPER_HEART_RATE - (int(definition.dev_data_index) << 8) - int(definition.def_num)


def _opaque(size: int) -> list[Any]:
    return [FieldDefinition(None, _HIDDEN, _OPAQUE, size)] if size else []


def _without_components(field: Any) -> Any:
    # fitdecode expands packed heart-beat times from a start that is only right to the second.
    if not field.is_dev and field.field and field.field.components:
        return FieldDefinition(None, field.def_num, field.base_type, field.size)
    return field
