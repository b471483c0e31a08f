"""The forms in which a mark can show up in what is made of an export."""

import hashlib
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from canaries.marks import MAKER, Marks, minutes, semicircles

_HASHES = ("sha256", "sha1", "md5")


class Seen(Enum):
    """Where a form is looked for."""

    IN_TEXT = "anywhere, in small letters"
    AS_HEX = "where eight hexadecimal digits begin"
    IN_BYTES = "in what is neither text nor packed, for it is too short to be told from chance"


@dataclass(frozen=True)
class Canary:
    """One thing an export gives away, such as its serial number."""

    export: str
    what: str


@dataclass(frozen=True)
class Form:
    canary: Canary
    name: str
    pattern: bytes
    seen: Seen = Seen.IN_TEXT


def forms_of(marks: Marks) -> Iterator[Form]:
    """Every form of everything that the export with these marks gives away."""
    for kind in marks.kinds:
        canary = Canary(marks.export, kind)
        # Whole names, slugs and addresses hold their words. A label may be cut short.
        for word in marks.words(kind):
            yield Form(canary, "word", word.lower()[:-2].encode())
    yield from _of_serial(marks)
    position = Canary(marks.export, "position")
    for degrees in (marks.latitude, marks.longitude):
        yield from _of_position(position, degrees)


def _of_serial(marks: Marks) -> Iterator[Form]:
    canary, serial = Canary(marks.export, "serial number"), marks.serial
    little = struct.pack("<I", serial)
    yield Form(canary, "decimal", str(serial).encode())
    yield Form(canary, "hexadecimal", f"{serial:08x}".encode())
    yield Form(canary, "hexadecimal, little-endian", little.hex().encode())
    yield Form(canary, "little-endian bytes", little, Seen.IN_BYTES)
    yield Form(canary, "big-endian bytes", struct.pack(">I", serial), Seen.IN_BYTES)
    for text in _named_after(serial, marks.device_name):
        for kind in _HASHES:
            digest = hashlib.new(kind, text).hexdigest()
            yield Form(canary, f"{kind} of {text!r}", digest[:8].encode(), Seen.AS_HEX)


def _named_after(serial: int, device_name: str) -> Iterator[bytes]:
    """Simple strings that a hash might be taken of, to call a device by it."""
    yield from (struct.pack(order, serial) for order in ("<I", ">I"))
    yield from (f"{serial:{base}}".encode() for base in "dxX")
    for maker in (MAKER, MAKER.lower(), "development", "255", device_name, ""):
        for between in ":- ":
            yield f"{maker}{between}{serial}".encode()
        for product in "17":
            yield f"{maker}:{product}:{serial}".encode()


def _of_position(canary: Canary, degrees: float) -> Iterator[Form]:
    whole, decimals = f"{abs(degrees):.6f}".split(".")
    yield Form(canary, "degrees", f"{whole}.{decimals[:4]}".encode())
    yield Form(canary, "degrees, decimal comma", f"{whole},{decimals[:4]}".encode())
    turn, part = minutes(degrees).split(" ")
    for told in {part[:-1], f"{float(part):06.3f}"}:
        for sign in (" ", "° ", "°", ""):
            yield Form(canary, "degrees and minutes", f"{turn}{sign}{told}".encode())
    units = semicircles(degrees)
    for near in (units - 1, units, units + 1):
        yield Form(canary, "semicircles", str(abs(near)).encode())
        yield Form(canary, "semicircles, bytes", struct.pack("<i", near), Seen.IN_BYTES)
    for name, layout in (("float64", "<d"), ("float32", "<f")):
        yield Form(canary, f"{name}, bytes", struct.pack(layout, degrees), Seen.IN_BYTES)
