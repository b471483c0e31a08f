"""A few hundred damaged and made-up files; `mutate.py` tries as many as wanted."""

import json
import random
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fuzz.mutate import mutant, outcome
from fuzz.valid_files import FILES, HINTS
from strapline.reading.formats import UnreadableExport, read_export
from unit.formats import fit_bytes as fb

_SOME = settings(
    max_examples=100,
    derandomize=True,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@pytest.mark.parametrize("name", FILES)
def test_the_files_to_damage_are_good(name: str, tmp_path: Path) -> None:
    expected = {"gzip": "csv", "zip": "fit"}.get(name, name.split()[0])
    assert outcome(FILES[name], tmp_path / "export") == expected


def test_mutants_end_in_an_export_or_a_sentence(tmp_path: Path) -> None:
    ends = {
        outcome(mutant(random.Random(number), FILES), tmp_path / "export") for number in range(400)
    }
    assert ends >= {"refused", "fit", "tcx", "gpx", "csv", "json", "rr", "picture"}


@pytest.mark.parametrize("name", FILES)
def test_files_cut_at_every_byte(name: str, tmp_path: Path) -> None:
    path = tmp_path / "export"
    for length in range(1, len(FILES[name])):
        path.write_bytes(FILES[name][:length])
        try:
            export = read_export(path, hints=HINTS)
        except UnreadableExport as reason:
            assert str(reason).endswith(".")
        else:
            assert len(export.samples) or len(export.beats)


@_SOME
@given(data=st.binary(max_size=300))
def test_bytes(data: bytes, tmp_path: Path) -> None:
    outcome(data, tmp_path / "export")


_CELLS = st.one_of(
    st.text(max_size=12),
    st.floats().map(str),
    st.integers().map(str),
    st.datetimes().map(str),
    st.times().map(str),
    st.sampled_from(["", "-", "—", "03/04/2024 10:00", "10:00 PM", "1:05.5", "1e308", "=1+1"]),
)
_HEADINGS = st.sampled_from(
    [
        "time",
        "date",
        "elapsed (ms)",
        "hr",
        "heart rate 2",
        "rr",
        "cadence",
        "Zeit [UTC]",
        "心率",
        "x",
    ]
)


@_SOME
@given(
    headings=st.lists(_HEADINGS, min_size=2, max_size=6),
    rows=st.lists(st.lists(_CELLS, max_size=6), max_size=8),
    delimiter=st.sampled_from(",;\t"),
    encoding=st.sampled_from(["utf-8", "utf-16", "latin-1"]),
)
def test_tables(
    headings: list[str], rows: list[list[str]], delimiter: str, encoding: str, tmp_path: Path
) -> None:
    text = "\n".join(map(delimiter.join, [headings, *rows]))
    outcome(text.encode(encoding, errors="replace"), tmp_path / "export")


_VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), st.floats(), st.integers(), st.text(max_size=9)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=5),
        st.dictionaries(
            st.sampled_from(["time", "t", "hr", "v", "heart_rate", "rr", "data", "0", "1"])
            | st.text(),
            inner,
            max_size=4,
        ),
    ),
    max_leaves=30,
)


@_SOME
@given(value=_VALUES)
def test_json_values(value: object, tmp_path: Path) -> None:
    outcome(json.dumps([value, value]).encode(), tmp_path / "export")


_FIELDS = st.lists(
    st.tuples(
        st.sampled_from([0, 1, 2, 3, 4, 5, 6, 9, 10, 25, 26, 27, 53, 253]) | st.integers(0, 255),
        st.integers(0, 12),
        st.sampled_from([0, 1, 2, 7, 10, 13, 0x83, 0x84, 0x85, 0x86, 0x88, 0x89, 0x8F, 99]),
    ),
    max_size=6,
)


@_SOME
@given(
    messages=st.lists(
        st.tuples(
            st.sampled_from([0, 12, 18, 20, 23, 34, 49, 55, 78, 103, 132, 206, 207, 999]),
            _FIELDS,
            st.binary(max_size=60),
        ),
        max_size=6,
    )
)
def test_fit_messages_of_any_shape(
    messages: list[tuple[int, list[tuple[int, int, int]], bytes]], tmp_path: Path
) -> None:
    content = [fb.records((1_000_000_000, 60, 80))]
    for number, fields, data in messages:
        head = bytes([0x41, 0, 0, number & 0xFF, number >> 8, len(fields)])
        size = sum(size for _, size, _ in fields)
        content += [head, *map(bytes, fields), b"\x01", data[:size].ljust(size, b"\x07")]
    assert outcome(fb.fit_file(*content), tmp_path / "export") == "fit"
