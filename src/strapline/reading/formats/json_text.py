"""JSON: lists of records, of pairs or of columns, under whatever keys."""

import json
import os
from collections import Counter, deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any, BinaryIO

from strapline.reading.formats import json_series
from strapline.reading.formats.export import Export, Hints, UnreadableExport
from strapline.reading.formats.heading import Meaning
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.rr_text import rr_export
from strapline.reading.formats.series import Series, of_one_quantity, table_of
from strapline.reading.formats.stated_start import Fact, begun
from strapline.reading.formats.text_encoding import text_in

# What is parsed takes many times the memory of its text: each value some 100 bytes.
_MOST_BYTES = 32 * 1024**2
_MOST_VALUES = 2_000_000
_MOST_COLUMNS = 200
_MOST_CELLS = 20_000_000
_MOST_SERIES = 5000
_DEEPEST_RECORD = 5

_Path = tuple[str, ...]

_BROKEN = "The file is JSON that is broken off or damaged; export the session again."
_TOO_LARGE = "The file holds more JSON than any session needs; export this session alone."
_TOO_DEEP = "The file's JSON is nested too deep to be a recording; export the session again."


@dataclass(frozen=True)
class _Found:
    """A part of the document and the keys that lead to it."""

    value: Any
    keys: tuple[str, ...]


def recognises(file: BinaryIO, _words: Headings) -> bool:
    """By how it begins; a line such as [Params] is no JSON."""
    start = "".join(text_in(file).split())
    return start.startswith(("{", "[{", "[[", "[]", '["')) or (
        start.startswith("[") and start[1:2] in set("-0123456789")
    )


def read(file: BinaryIO, words: Headings, hints: Hints) -> Export:
    """The series of times and heart rates (or of RR intervals) anywhere in the document: the
    longest, what goes on from it, and what stands beside it under keys of its own.

    Raises UnreadableExport where there is none.
    """
    value, is_broken = _parsed(file)
    every = (series for found in _parts(value) for series in _series(found, words))
    candidates = (table_of(series, words) for series in islice(every, _MOST_SERIES))
    found = [candidate for candidate in candidates if candidate]
    for candidate in found:
        candidate.table.is_broken = is_broken
    facts = _facts(value)
    if found:
        return begun(json_series.joined(found, hints), facts, words, hints.dates)
    of_beats = (found.value for found in _parts(value) if _is_of_beats(found, words))
    beats: list[float] = max(of_beats, key=len, default=[])
    if beats:
        return begun(rr_export(beats, "json"), facts, words, hints.dates)
    raise UnreadableExport(
        "No list in the JSON has times and heart rates Strapline can tell; "
        "export the session again, as FIT or CSV for instance."
    )


def _facts(document: Any) -> list[Fact]:
    """Each word and number under a key that has no other in the document, from the outside in: what
    is said of several recordings is said of none."""
    named: dict[str, set[str]] = {}
    for found in islice(_parts(document), _MOST_SERIES):
        if isinstance(found.value, dict):
            for key, value in found.value.items():
                if isinstance(value, str | float):
                    written = f"{value:.0f}" if isinstance(value, float) else value
                    named.setdefault(key, set()).add(written[:80])
    return [(key, values.pop()) for key, values in named.items() if len(values) == 1]


def _parsed(file: BinaryIO) -> tuple[Any, bool]:
    """The document, and whether its last line is broken off where it has one object a line."""
    if file.seek(0, os.SEEK_END) > _MOST_BYTES:
        raise UnreadableExport(_TOO_LARGE)
    text = text_in(file, _MOST_BYTES)
    if sum(map(text.count, ",[{")) > _MOST_VALUES:
        raise UnreadableExport(_TOO_LARGE)
    try:
        return _loads(text), False
    except RecursionError:
        raise UnreadableExport(_TOO_DEEP) from None
    except ValueError:
        return _parsed_lines(text)


def _parsed_lines(text: str) -> tuple[list[Any], bool]:
    objects: list[Any] = []
    try:
        for line in text.splitlines():
            if line.strip():
                objects.append(_loads(line))
    except RecursionError:
        raise UnreadableExport(_TOO_DEEP) from None
    except ValueError:
        if not objects:
            raise UnreadableExport(_BROKEN) from None
        return objects, True
    return objects, False


def _loads(text: str) -> Any:
    # Whole numbers of thousands of digits are refused by int.
    return json.loads(text, parse_int=float)


def _parts(document: Any) -> Iterator[_Found]:
    """Every list and object of the document, from the outside in."""
    waiting = deque([_Found(document, ())])
    while waiting:
        found = waiting.popleft()
        yield found
        for key, value in _children(found.value):
            if isinstance(value, dict | list):
                keys = found.keys if key is None else (*found.keys[-3:], key)
                waiting.append(_Found(value, keys))


def _children(value: Any) -> Iterable[tuple[str | None, Any]]:
    return value.items() if isinstance(value, dict) else ((None, item) for item in value)


def _series(found: _Found, words: Headings) -> Iterator[Series]:
    """The ways to read a list or an object as a table: its rows, its columns."""
    value = found.value
    if isinstance(value, dict):
        yield from _of_one_length(_named_lists(value), found.keys)
        if len(value) > 1 and all(key[:1].isdigit() for key in value) and _is_flat(value.values()):
            yield Series({"": list(value), " ": list(value.values())}, found.keys)
    elif value and all(isinstance(item, dict) for item in value):
        series = _from_records(found, words)
        yield series
        yield from of_one_quantity(series, words)
        yield from _of_one_length(_lists_with_a_word(value), found.keys)
    elif len(value) > 1 and all(isinstance(item, list) and _is_flat(item) for item in value):
        yield from _from_rows(found)


def _named_lists(value: dict[str, Any]) -> Iterator[tuple[str, list[Any]]]:
    """Lists in an object, also where each stands alone in an object of its own."""
    for key, inner in value.items():
        found = _only_list(inner) if isinstance(inner, dict) else inner
        if isinstance(found, list):
            yield key, found


def _lists_with_a_word(items: list[dict[str, Any]]) -> Iterator[tuple[str, list[Any]]]:
    """Lists in a list of objects, each named by a word beside it."""
    for item in items:
        word = next((value for value in item.values() if isinstance(value, str)), None)
        found = _only_list(item)
        if word is not None and found is not None:
            yield word, found


def _only_list(value: dict[str, Any]) -> list[Any] | None:
    lists = [inner for inner in value.values() if isinstance(inner, list)]
    return lists[0] if len(lists) == 1 else None


def _of_one_length(
    named: Iterable[tuple[str, list[Any]]], keys: tuple[str, ...]
) -> Iterator[Series]:
    by_length: dict[int, dict[str, list[Any]]] = {}
    for name, values in named:
        if values and _is_flat(values):
            by_length.setdefault(len(values), {})[name] = values
    for columns in by_length.values():
        if 1 < len(columns) <= _MOST_COLUMNS:
            yield Series(columns, keys)


def _from_records(found: _Found, words: Headings) -> Series:
    """A column for each key, called by the keys outside too where it says nothing or is not the
    only one: {"hr": {"value": 120}}."""
    records = [dict(_leaves(record)) for record in found.value]
    most = min(_MOST_COLUMNS, _MOST_CELLS // len(records))
    counts = Counter(path for record in records for path in record)
    paths = [path for path, _ in counts.most_common(most)]
    ends = Counter(path[-1] for path in paths)
    return Series(
        {_called(path, ends, words): [record.get(path) for record in records] for path in paths},
        found.keys,
    )


def _called(path: _Path, ends: Counter[str], words: Headings) -> str:
    is_telling = ends[path[-1]] == 1 and words.topic(path[-1:])
    return path[-1] if is_telling else " ".join(path)


def _leaves(record: dict[str, Any], keys: _Path = ()) -> Iterator[tuple[_Path, Any]]:
    for key, value in record.items():
        path = (*keys, key)
        if isinstance(value, dict) and len(path) < _DEEPEST_RECORD:
            yield from _leaves(value, path)
        elif not isinstance(value, dict | list):
            yield path, value


def _from_rows(found: _Found) -> Iterator[Series]:
    rows, names = found.value, found.value[0]
    width = len(names)
    if not 1 < width <= _MOST_COLUMNS or any(len(row) != width for row in rows):
        return
    if all(isinstance(name, str) for name in names) and len(set(names)) == width:
        yield Series({name: [row[n] for row in rows[1:]] for n, name in enumerate(names)})
    yield Series({" " * n: [row[n] for row in rows] for n in range(width)}, found.keys)


def _is_flat(values: Iterable[Any]) -> bool:
    return not any(isinstance(value, dict | list) for value in values)


def _is_of_beats(found: _Found, headings: Headings) -> bool:
    return (
        isinstance(found.value, list)
        and headings.meaning_of(headings.topic(found.keys)) == Meaning.RR
        and all(isinstance(value, float) for value in found.value)
    )
