"""Every file as the pieces that can be searched: containers are opened, as deep as they go."""

import gzip
import io
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

import pyarrow as pa
import pyarrow.parquet as pq


@dataclass(frozen=True)
class Piece:
    """`data` found at `place` in a file. In packed bytes a few alike occur by chance."""

    place: str
    data: bytes
    packed: bool = False


def pieces(data: bytes, place: str = "") -> Iterator[Piece]:
    """Everything that stands in a file with this content.

    Raises whatever the container's own reader raises where one is damaged.
    """
    openers = {
        b"PK\x03\x04": _zip,
        b"\x1f\x8b": _gzip,
        b"\x89PNG": _png,
        b"PAR1": _parquet,
    }
    opener = next((openers[magic] for magic in openers if data.startswith(magic)), None)
    yield Piece(place or "content", data, packed=opener is not None)
    if opener is not None:
        yield from opener(data, f"{place} > " if place else "")


def _zip(data: bytes, at: str) -> Iterator[Piece]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for member in archive.infolist():
            yield Piece(f"{at}name of a member", member.filename.encode())
            yield from pieces(archive.read(member), at + member.filename)


def _gzip(data: bytes, at: str) -> Iterator[Piece]:
    yield from pieces(gzip.decompress(data), f"{at}unpacked")


def _png(data: bytes, at: str) -> Iterator[Piece]:
    position = 8
    while position < len(data):
        (length,) = struct.unpack_from(">I", data, position)
        kind = data[position + 4 : position + 8]
        body = data[position + 8 : position + 8 + length]
        position += 12 + length
        if kind in (b"zTXt", b"iTXt"):
            yield Piece(f"{at}{kind.decode()}", _inflated(body))


def _inflated(body: bytes) -> bytes:
    """What a text chunk of PNG holds after its keyword, whichever way it is written."""
    for start in range(len(body)):
        try:
            return zlib.decompress(body[start:])
        except zlib.error:
            continue
    return body


def _parquet(data: bytes, at: str) -> Iterator[Piece]:
    file = pq.ParquetFile(io.BytesIO(data))
    yield Piece(f"{at}metadata", _of_metadata(file.metadata.metadata))
    table = file.read()
    for field in table.schema:
        place = f"{at}column {field.name}"
        yield Piece(f"{place}, its field", field.name.encode() + _of_metadata(field.metadata))
        yield from (Piece(place, content) for content in _values(table[field.name]))


def _of_metadata(metadata: dict[bytes, bytes] | None) -> bytes:
    return b"\n".join(part for pair in (metadata or {}).items() for part in pair)


def _values(column: pa.ChunkedArray) -> Iterator[bytes]:
    """The values as text, and all that stand in a dictionary; binary ones as they are."""
    for chunk in column.chunks:
        if pa.types.is_dictionary(chunk.type):
            yield from _values(pa.chunked_array([chunk.dictionary]))
        elif pa.types.is_binary(chunk.type) or pa.types.is_large_binary(chunk.type):
            yield b"\n".join(value for value in chunk.to_pylist() if value is not None)
        else:
            plain = chunk if pa.types.is_nested(chunk.type) else chunk.unique()
            yield "\n".join(map(str, plain.to_pylist())).encode()
