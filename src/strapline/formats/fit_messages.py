"""The messages of a FIT file, as far as they are wanted and as far as the file goes."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import fitdecode
from fitdecode.types import BaseType, FieldDefinition

TIMESTAMP = 253

# fitdecode needs these whole to know the length of developer fields.
_DEVELOPER_MESSAGES = frozenset({206, 207})

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

    `wanted` maps message numbers to the field numbers to read. None in place of a message marks
    the start of a chained file. After the iteration, `is_broken` tells whether the stream ended
    before its time, and `wrong_checksums` counts chained files with a wrong checksum.
    """

    def __init__(self, data: bytes, wanted: Mapping[int, frozenset[int]]) -> None:
        self._data = data
        self._wanted = wanted
        self._start = 0
        self.is_broken = False
        self.wrong_checksums = 0

    def __iter__(self) -> Iterator[Message | None]:
        header = None
        for frame in self._frames():
            match frame.frame_type:
                case fitdecode.FIT_FRAME_HEADER:
                    header = frame
                    yield None
                case fitdecode.FIT_FRAME_DEFINITION:
                    self._hide_unwanted(frame)
                case fitdecode.FIT_FRAME_DATA if frame.global_mesg_num in self._wanted:
                    yield Message(frame.global_mesg_num, frame.fields)
                case fitdecode.FIT_FRAME_CRC:
                    self._check(header, frame)

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
        for field in definition.all_field_defs:
            if field.is_dev or field.def_num not in wanted:
                hidden += field.size
                continue
            fields += [*_opaque(hidden), _without_components(field)]
            hidden = 0
        definition.field_defs[:] = [*fields, *_opaque(hidden)]
        definition.dev_field_defs.clear()

    def _check(self, header: Any, footer: Any) -> None:
        end = self._start + header.header_size + header.body_size
        self.wrong_checksums += checksum(self._data[self._start : end]) != footer.crc
        self._start = end + 2


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
    return field.field_def.def_num if field.field_def else TIMESTAMP


def _opaque(size: int) -> list[Any]:
    return [FieldDefinition(None, _HIDDEN, _OPAQUE, size)] if size else []


def _without_components(field: Any) -> Any:
    # fitdecode expands packed heart-beat times from a start that is only right to the second.
    if field.field and field.field.components:
        return FieldDefinition(None, field.def_num, field.base_type, field.size)
    return field
