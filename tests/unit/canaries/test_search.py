"""The search finds every form of a mark in everything that can hold it, and nothing by chance.

Where a form can be had from elsewhere, it is: digests from hashlib, semicircles from the FIT
encoder, degrees and minutes reckoned here, names of records as Snakemake breaks them.
"""

import base64
import gzip
import hashlib
import io
import json
import random
import struct
import zipfile
import zlib
from datetime import UTC, datetime

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.record_message import RecordMessage
from PIL import Image, PngImagePlugin

from canaries.exports import FORMATS
from canaries.forms import forms_of
from canaries.marks import Marks
from canaries.search import ITS_PATH, Search

MARKS, OTHER = Marks(5, "planted"), Marks(6, "another")
SERIAL, FIRST, LAST = str(MARKS.serial), *MARKS.words("person")


@pytest.fixture(scope="module")
def search():
    return Search(form for marks in (MARKS, OTHER) for form in forms_of(marks))


def found(search, data):
    hits = list(search.in_file(data, "a file"))
    assert all(hit.canary.export == "planted" and hit.file == "a file" for hit in hits)
    return {hit.canary.what for hit in hits}


def in_base64(text, before):
    return base64.b64encode(b"." * before + text.encode() + b"/more")


WORDS = [
    FIRST,
    LAST.upper(),
    f"{FIRST} {LAST}",
    f"{FIRST}-{LAST}".lower(),
    f"{FIRST}_{LAST}.fit",
    f"{FIRST}{LAST}".lower(),
    f"{LAST}%20{FIRST}",
    FIRST[:-2] + "…",
]


@pytest.mark.parametrize("text", WORDS)
def test_names_are_found_whole_in_part_and_as_slugs(search, text):
    assert found(search, f"a{text} b".encode()) == {"person"}


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (MARKS.email, "e-mail address"),
        (MARKS.email.upper(), "e-mail address"),
        (MARKS.email.replace("@", "%40"), "e-mail address"),
        (MARKS.email.replace("@", '" domain="'), "e-mail address"),
        (MARKS.device_name, "device name"),
        (MARKS.file_stem, "file name"),
    ],
)
def test_other_words_are_found(search, text, what):
    assert found(search, text.encode()) == {what}


SERIALS = [
    SERIAL,
    f"{MARKS.serial:x}",
    f"0x{MARKS.serial:X}",
    struct.pack("<I", MARKS.serial).hex(),
    *(
        hashlib.new(kind, text.encode()).hexdigest()[:length]
        for kind in ("sha256", "sha1", "md5")
        for text in (SERIAL, f"{MARKS.serial:x}", f"Bramble:{SERIAL}", f"development:{SERIAL}")
        for length in (8, 12, 32)
    ),
    hashlib.sha256(struct.pack("<I", MARKS.serial)).hexdigest().upper(),
]


@pytest.mark.parametrize("text", SERIALS)
def test_serial_numbers_are_found_plain_and_hashed(search, text):
    assert found(search, f"device-{text}.".encode()) == {"serial number"}


def bytes_of_fit():
    """A position as the encoder writes it."""
    builder = FitFileBuilder(auto_define=True)
    record = RecordMessage()
    record.position_lat = MARKS.latitude
    builder.add(record)
    return bytes(builder.build().to_bytes())


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (struct.pack("<I", MARKS.serial), "serial number"),
        (struct.pack(">I", MARKS.serial), "serial number"),
        (struct.pack("<q", MARKS.serial), "serial number"),
        (struct.pack("<d", MARKS.latitude), "position"),
        (struct.pack("<f", MARKS.longitude), "position"),
        (bytes_of_fit(), "position"),
    ],
)
def test_numbers_are_found_as_bytes(search, data, what):
    assert found(search, b"\0\xff" + data + b"\0\xff") == {what}


def of_degrees(degrees):
    whole, part = int(abs(degrees)), abs(degrees) % 1
    units = str(int(abs(degrees) / 180 * 2**31))
    return [
        str(degrees),
        f"{degrees:.4f}",
        f"{degrees:.5f}".replace(".", ","),
        str(float(struct.unpack("<f", struct.pack("<f", degrees))[0])),
        f"W {whole} {part * 60:.3f}",
        f"{whole}° {part * 60:.4f}'",
        f"{whole}{part * 60:06.3f},S",
        units,
        "-" + units,
    ]


@pytest.mark.parametrize("text", [*of_degrees(MARKS.latitude), *of_degrees(MARKS.longitude)])
def test_positions_are_found_as_text(search, text):
    assert found(search, f'{{"at": [{text}]}}'.encode()) == {"position"}


@pytest.mark.parametrize("before", range(3))
@pytest.mark.parametrize(
    ("text", "what"),
    [(FIRST, "person"), (LAST.lower(), "person"), (SERIAL, "serial number")],
)
def test_base64_is_found_wherever_it_begins(search, text, what, before):
    encoded = in_base64(text, before)
    assert found(search, b"params: " + encoded) == {what}
    assert found(search, b"ab" + encoded.rstrip(b"=")) == {what}
    assert found(search, base64.urlsafe_b64encode(b"?>" * before + text.encode())) == {what}


def zipped(data, name="member"):
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, data)
    return buffer.getvalue()


def png(chunk, text):
    """A picture with a text chunk, as a library writes it."""
    info, buffer = PngImagePlugin.PngInfo(), io.BytesIO()
    if chunk == "iTXt":
        info.add_itxt("Comment", text, zip=True)
    else:
        info.add_text("Comment", text, zip=chunk == "zTXt")
    Image.new("L", (4, 4)).save(buffer, "PNG", pnginfo=info)
    return buffer.getvalue()


def parquet(column, metadata=None, of_field=None):
    field = pa.field("value", column.type, metadata=of_field)
    table = pa.table([column], schema=pa.schema([field], metadata=metadata))
    buffer = io.BytesIO()
    pq.write_table(table, buffer, compression="zstd")
    return buffer.getvalue()


NOTHING = pa.array(["", ""])
TABLES = {
    "text": parquet(pa.array(["", FIRST])),
    "category": parquet(pa.array([FIRST, "a"]).dictionary_encode()),
    "list": parquet(pa.array([[FIRST], []])),
    "bytes": parquet(pa.array([FIRST.encode()])),
    "record": parquet(pa.array([{"name": FIRST}])),
    "metadata": parquet(NOTHING, {"note": FIRST}),
    "key": parquet(NOTHING, {FIRST: ""}),
    "field": parquet(NOTHING, None, {"meaning": FIRST}),
    "key in a record": parquet(pa.array([{FIRST: 1}])),
}


@pytest.mark.parametrize("table", TABLES)
def test_words_are_found_in_tables(search, table):
    hits = list(search.in_file(TABLES[table], "a table"))
    assert {hit.canary.what for hit in hits} == {"person"}
    assert {hit.place for hit in hits} & {"column value", "column value, its field", "metadata"}


@pytest.mark.parametrize(
    ("column", "what"),
    [
        (pa.array([1, MARKS.serial]), "serial number"),
        (pa.array([1, MARKS.serial], pa.uint32()), "serial number"),
        (pa.array([float(MARKS.serial)]), "serial number"),
        (pa.array([1.0, MARKS.latitude]), "position"),
        (pa.array([MARKS.longitude], pa.float32()), "position"),
        (pa.array([int(MARKS.latitude / 180 * 2**31)], pa.int32()), "position"),
        (pa.array([struct.pack("<I", MARKS.serial)]), "serial number"),
    ],
)
def test_numbers_are_found_in_tables(search, column, what):
    assert found(search, parquet(column)) == {what}


CONTAINERS = {
    "text": FIRST.encode(),
    "json": json.dumps({"a": [FIRST]}).encode(),
    "zip": zipped(FIRST),
    "name in a zip": zipped("", FIRST),
    "zip in a zip": zipped(zipped(FIRST)),
    "gzip": gzip.compress(FIRST.encode()),
    "gzip in a zip": zipped(gzip.compress(FIRST.encode())),
    "table in a zip": zipped(TABLES["text"]),
    "tEXt": png("tEXt", FIRST),
    "zTXt": png("zTXt", FIRST),
    "iTXt": png("iTXt", FIRST),
    "picture in a zip": zipped(png("zTXt", FIRST)),
}


@pytest.mark.parametrize("container", CONTAINERS)
def test_containers_are_opened(search, container):
    assert found(search, CONTAINERS[container]) == {"person"}


def test_names_of_files_and_folders_are_searched(search, tmp_path):
    (tmp_path / "a" / f"{FIRST}-{LAST}".lower()).mkdir(parents=True)
    (tmp_path / "b" / f"{SERIAL}.json").parent.mkdir()
    (tmp_path / "b" / f"{SERIAL}.json").touch()
    hits = list(search.in_folder(tmp_path, "results"))
    assert {(hit.canary.what, hit.file, hit.place) for hit in hits} == {
        ("person", f"results/a/{FIRST}-{LAST}".lower(), ITS_PATH),
        ("serial number", f"results/b/{SERIAL}.json", ITS_PATH),
    }


@pytest.mark.parametrize("before", [1, 2, 3, 40, 172, 173, 174, 175, 176, 186, 187, 188])
def test_names_that_snakemake_has_encoded_and_broken_are_searched(search, tmp_path, before):
    # As in `_record_path` of Snakemake 9.27: pieces of 254, all but the last behind an `@`.
    name = base64.urlsafe_b64encode(b"x" * before + FIRST.lower().encode() + b"y" * 20).decode()
    parts = [name[at : at + 254] for at in range(0, len(name), 254)]
    path = tmp_path.joinpath("metadata", *("@" + part for part in parts[:-1]), parts[-1])
    path.parent.mkdir(parents=True)
    path.touch()
    hits = [hit for hit in search.in_folder(tmp_path, ".snakemake") if hit.file.endswith(parts[-1])]
    assert {hit.canary.what for hit in hits} == {"person"}


def test_a_hit_says_what_how_and_where(search):
    (hit,) = search.in_file(zipped(FIRST, "inner.txt"), "outer.zip")
    assert (hit.canary.export, hit.canary.what, hit.form) == ("planted", "person", "word")
    assert (hit.file, hit.place) == ("outer.zip", "inner.txt")
    assert str(hit) == "outer.zip: person of planted (word), inner.txt"


def test_nothing_is_found_by_chance(search):
    chance = random.Random(7)
    data = chance.randbytes(10**6)
    figures = ",".join(f"{chance.gauss(120, 60):.9f}" for _ in range(10**5)).encode()
    for each in (data, zlib.compress(data), data.hex().encode(), base64.b64encode(data), figures):
        assert not found(search, each)
    assert not found(search, f"{MARKS.serial + 1} {MARKS.latitude - 0.0002} Zqv".encode())


@pytest.mark.parametrize("kind", FORMATS)
def test_every_export_gives_away_all_that_it_can(search, kind):
    data = FORMATS[kind](MARKS, datetime(2026, 3, 2, tzinfo=UTC))
    given = {"person", "device name", "e-mail address", "serial number", "position"}
    assert found(search, data) == given


def test_no_two_exports_share_a_mark():
    words = [word for n in range(20) for kind in MARKS.kinds for word in Marks(n, "").words(kind)]
    assert len(set(words)) == len(words) == 160
    patterns = [{form.pattern for form in forms_of(Marks(n, ""))} for n in range(20)]
    assert sum(map(len, patterns)) == len(set().union(*patterns))
