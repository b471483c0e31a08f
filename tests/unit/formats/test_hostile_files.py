"""Files made to hurt, each read in a process of its own with its time and memory measured."""

import gzip
import struct
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import fit_bytes as fb
import pytest

pytestmark = pytest.mark.slow

MIB = 1024**2
_LONGEST_S = 60  # of processor time; a third of it on the machine this was written on
_MOST_MIB = 1024

_CHILD = f"""
import resource, sys
from pathlib import Path
resource.setrlimit(resource.RLIMIT_CPU, ({_LONGEST_S}, {_LONGEST_S}))
from strapline.reading.formats import UnreadableExport, read_export
try:
    export = read_export(sys.argv[1])
    said = f"{{export.format}} {{len(export.samples)}} {{export.remarks}}"
except UnreadableExport as reason:
    said = str(reason)
# Not ru_maxrss: on Linux that includes the test process this one was forked from.
status = Path("/proc/self/status").read_text() if Path("/proc/self/status").exists() else ""
peak = [line.split()[1] for line in status.splitlines() if line.startswith("VmHWM")]
used = int(peak[0]) if peak else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
print(used // 1024, said)
"""


def fit(messages: bytes) -> bytes:
    """A FIT file without checksums, which would take long to compute."""
    return struct.pack("<BBHI4s", 12, 0x20, 2132, len(messages), b".FIT") + messages + b"\0\0"


def definitions(count: int) -> bytes:
    return fb.definition(0, 20, [(3, fb.UINT8, 1)] * 255) * count


def week_of_fit() -> bytes:
    rows = (struct.pack("<BIBB", 0, 1_000_000_000 + n, 60 + n % 99, 80) for n in range(604_800))
    return fit(fb.definition(0, 20, fb.RECORD) + b"".join(rows))


def seconds_of_csv() -> bytes:
    return b"time,hr\n" + b"".join(b"%d,%d\n" % (1_717_149_600 + n, 60) for n in range(1_000_000))


FILES: dict[str, tuple[Callable[[], bytes], str]] = {
    "a week of FIT": (week_of_fit, "fit 604800"),
    "a million seconds of CSV": (seconds_of_csv, "csv 1000000"),
    "FIT messages without content": (
        # After definitions, which are read in less time than as many messages.
        lambda: fit(definitions(10_000) + fb.definition(0, 20, []) + bytes(100 * MIB)),
        "more than any session",
    ),
    "FIT definitions only": (
        lambda: fit(definitions(100_000)),
        "more than any session",
    ),
    "short lines": (lambda: b"t,hr\n" + b"1,6\n" * (31 * MIB), "more than any session"),
    "one line": (lambda: b"t,hr\n" + b"1,6," * (31 * MIB), "line of a million"),
    "short RR intervals": (lambda: b"812\n" * (31 * MIB), "more than any session"),
    "an XML comment": (lambda: b"<gpx><!--" + b"a" * (100 * MIB), "too deep or too wide"),
    "XML text": (lambda: b"<gpx><trkpt>" + b"\n" * (100 * MIB), "too deep or too wide"),
    "XML children": (lambda: b"<gpx><trkpt>" + b"<a/>" * (25 * MIB), "too deep or too wide"),
    "XML names": (
        lambda: b"<gpx>" + b"".join(b"<a%d/>" % n for n in range(5_000_000)),
        "too deep or too wide",
    ),
    "XML attributes": (
        lambda: b"<gpx " + b"".join(b"a%d='' " % n for n in range(5_000_000)),
        "too deep or too wide",
    ),
    "JSON objects of many keys": (
        lambda: b"[%s]" % b",".join(b'{"t":%d,"hr":60,"k%d":1}' % (n, n) for n in range(240_000)),
        "json 240000",
    ),
    "JSON text": (lambda: b'["\xf0\x9f\x98\x80%s"]' % (b"a" * (31 * MIB)), "No list"),
    "a gzip bomb": (lambda: gzip.compress(bytes(1024 * MIB), 1), "more than 128 MiB"),
}


@pytest.mark.parametrize("name", FILES)
def test_a_hostile_file_takes_bounded_time_and_memory(name: str, tmp_path: Path) -> None:
    content, expected = FILES[name]
    path = tmp_path / "export"
    path.write_bytes(content())
    finished = subprocess.run(
        [sys.executable, "-c", _CHILD, path], capture_output=True, text=True, check=False
    )
    assert finished.returncode == 0, finished.stderr
    used, said = finished.stdout.split(maxsplit=1)
    assert expected in said
    assert int(used) < _MOST_MIB
    path.unlink()
