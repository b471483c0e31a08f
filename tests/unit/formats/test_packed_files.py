import gzip
import io
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import fit_bytes as fb
import pytest

from strapline.reading.formats import Export, UnreadableExport, read_export

Read = Callable[[bytes], Export]
CSV = b"time,hr\n0,60\n1,61\n"
FIT = fb.fit_file(fb.records((1_000_000_000, 60, 255)))


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def read_bytes(data: bytes) -> Export:
        path = tmp_path / "inbox" / "export.tcx"
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(data)
        try:
            return read_export(path)
        finally:
            assert list(tmp_path.rglob("*")) == [path.parent, path]  # nothing is unpacked there

    return read_bytes


def zipped(*contents: bytes, **named: bytes) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for number, content in enumerate(contents):
            archive.writestr(f"../../../{number}", content)
        for name, content in named.items():
            archive.writestr(name, content)
    return packed.getvalue()


@pytest.mark.parametrize(
    "content", [CSV, FIT, b"812\n790\n805\n", b'{"t": [0, 1], "hr": [60, 61]}']
)
def test_whatever_is_read_is_read_packed_too(read: Read, content: bytes) -> None:
    plain = read(content)
    for data in (
        gzip.compress(content),
        gzip.compress(content[:5]) + gzip.compress(content[5:]) + bytes(512),
        zipped(content),
        zipped(content, b"words", **{"__MACOSX/._0": content, ".hidden": content, "folder/": b""}),
    ):
        packed = read(data)
        assert packed.format == plain.format
        assert packed.samples.equals(plain.samples)
        assert packed.beats.equals(plain.beats)


def test_several_exports_are_a_stream_each(read: Read) -> None:
    later = fb.fit_file(fb.records((1_000_090_000, 70, 255)))
    export = read(zipped(FIT, CSV, later))
    assert (export.format, export.clock) == ("zip", "utc")
    assert export.samples[["stream", "heart_rate_bpm"]].to_numpy().tolist() == [[1, 60], [2, 70]]
    assert [s.source[-23:] for s in export.streams] == [
        f"export {n} of the archive" for n in (1, 2)
    ]
    assert "1 export of the archive" in export.remarks[0]


def encrypted(data: bytes) -> bytes:
    return data.replace(b"PK\x03\x04\x14\0\0", b"PK\x03\x04\x14\0\1").replace(
        b"PK\x01\x02\x14\x03\x14\0\0", b"PK\x01\x02\x14\x03\x14\0\1"
    )


def with_a_long_directory(data: bytes) -> bytes:
    place = data.index(b"PK\x05\x06")
    return (
        data[:place]
        + bytes(2**21)
        + data[place : place + 12]
        + struct.pack("<II", 2**21, 0)
        + b"\0\0"
    )


# Made when they are read: the bombs take a second, and what is packed holds the time.
UNREADABLE: dict[str, tuple[Callable[[], bytes], str]] = {
    "two exports without a clock": (lambda: zipped(CSV, CSV), "none states its time for certain"),
    "fifty-one files": (lambda: zipped(*[b"x"] * 51), "type `strapline unpack` with its name"),
    "two files of words": (lambda: zipped(b"words", b"more words"), "Nothing in the archive"),
    "one file of words": (lambda: zipped(b"words"), "not in a format"),
    "nothing": (lambda: zipped(), "Nothing in the archive"),
    "an archive in an archive": (lambda: zipped(zipped(CSV)), "another packed file"),
    "gzip in an archive": (lambda: zipped(gzip.compress(CSV)), "another packed file"),
    "gzip in gzip": (lambda: gzip.compress(gzip.compress(CSV)), "another packed file"),
    "an archive in gzip": (lambda: gzip.compress(zipped(CSV)), "another packed file"),
    "a password": (lambda: encrypted(zipped(CSV)), "encrypted"),
    "a long directory": (lambda: with_a_long_directory(zipped(CSV)), "directory"),
    "an archive cut short": (lambda: zipped(CSV)[:-30], "broken off or damaged"),
    "gzip cut short": (lambda: gzip.compress(CSV)[:-9], "broken off or damaged"),
    "a wrong checksum": (lambda: gzip.compress(CSV)[:-5] + b"xxxxx", "broken off or damaged"),
    "a heading alone": (lambda: b"\x1f\x8b\x08\0", "broken off or damaged"),
    "gzip of nothing": (lambda: gzip.compress(b""), "not in a format"),
    "a gzip bomb": (lambda: gzip.compress(bytes(2**28)), "more than 128 MiB"),
    "an archive's bomb": (lambda: zipped(bytes(2**27), bytes(2**27)), "more than 128 MiB"),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_what_cannot_be_unpacked_gets_a_sentence(read: Read, name: str) -> None:
    packed, reason = UNREADABLE[name]
    with pytest.raises(UnreadableExport, match=reason) as refusal:
        read(packed())
    assert str(refusal.value).endswith(".")
