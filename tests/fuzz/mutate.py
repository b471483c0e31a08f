"""Damaged files of every format: each must end in an export or in a sentence.

`python tests/fuzz/mutate.py 20000` tries so many, and prints what came of them. A second number
is the seed.
"""

import random
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from fuzz.valid_files import FILES, HINTS
from strapline.ground.tables.recordings import BEATS, SAMPLES
from strapline.reading.formats import Export, UnreadableExport, read_export, read_identity

_LONGEST_S = 5.0
_UNWELCOME = [
    b"", b"\0", b"\xff", b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", b'"', b"'", b"\n", b"\r", b",",
    b";", b"NaN", b"-inf", b"1e999", b"-1e300", b"1" * 400, b"9" * 5000, b"\xf0\x9f\x98\x80",
    b"\xe2\x80\xae", b"\\ud800", b"=1+1", b"<script>", b"<!DOCTYPE x [<!ENTITY a 'b'>]>", b"&a;",
    b"[" * 2000, b"{\"a\":" * 500, b"<a>" * 200, b"0000-00-00", b"9999-12-31T23:59:59-23:59",
    b"24:00:00", b"03/04/2024 13:00 PM", b"null", b"\x40\x00\x00\x14\x00", b".FIT", b"PK\x01\x02",
]  # fmt: skip


def mutant(chance: random.Random, files: dict[str, bytes]) -> bytes:
    """One of the files after a few random changes."""
    data = bytearray(chance.choice(list(files.values())))
    for _ in range(chance.randint(1, 4)):
        _change(chance, data, files)
    return bytes(data)


def _change(chance: random.Random, data: bytearray, files: dict[str, bytes]) -> None:
    start, length = chance.randint(0, len(data)), int(chance.expovariate(0.1)) + 1
    match chance.randrange(7):
        case 0:
            del data[start:]
        case 1:
            del data[start : start + length]
        case 2 if start < len(data):
            data[start] ^= 1 << chance.randrange(8)
        case 3 if start < len(data):
            data[start] = chance.randrange(256)
        case 4:
            data[start:start] = data[start : start + length] * chance.randint(1, 50)
        case 5:
            data[start : start + chance.choice([0, length])] = chance.choice(_UNWELCOME)
        case _:
            other = chance.choice(list(files.values()))
            place = chance.randint(0, len(other))
            data[start : start + length] = other[place : place + 10 * length]


def outcome(data: bytes, path: Path) -> str:
    """How reading `data` ends: its format or 'refused'. AssertionError where it is neither."""
    path.write_bytes(data)
    started = time.monotonic()
    try:
        export = read_export(path, hints=HINTS)
    except UnreadableExport as reason:
        _check_sentence(str(reason))
        return "refused"
    finally:
        assert time.monotonic() - started < _LONGEST_S
    _check(export, path)
    read_identity(path)
    return export.format


def _check(export: Export, path: Path) -> None:
    about = {
        name: getattr(export, name)
        for name in ("clock", "utc_offset_s", "firmware", "external_sensor", "remarks")
    }
    SAMPLES.write(export.samples, path.with_suffix(".samples"), **about)
    BEATS.write(export.beats, path.with_suffix(".beats"))
    assert len(export.samples) or len(export.beats)
    assert export.clock in ("utc", "local", "elapsed")
    for sentence in export.remarks:
        _check_sentence(sentence)


def _check_sentence(text: str) -> None:
    assert text.isprintable(), text
    assert text.endswith("."), text
    assert 10 < len(text) < 500, text


def main(count: int = 1000, seed: int = 1) -> int:
    outcomes: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for number in range(count):
            data = mutant(random.Random(f"{seed} {number}"), FILES)
            try:
                outcomes[outcome(data, Path(folder) / "export")] += 1
            except Exception:
                outcomes["FAILED"] += 1
                print(f"case {number} of seed {seed}: {data[:300]!r}")
                traceback.print_exc()
    print(f"{count} cases:", ", ".join(f"{name} {n}" for name, n in outcomes.most_common()))
    return 1 if outcomes["FAILED"] else 0


if __name__ == "__main__":
    sys.exit(main(*(int(number) for number in sys.argv[1:])))
