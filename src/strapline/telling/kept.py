"""Records whose fields are kept in files: each field says what it is read from, and only what is
needed is read."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import field, fields
from typing import Any

from strapline.ground.tables.table import Table


def kept(read: Callable[[str], Any], nothing: Callable[[], Any]) -> Any:
    """A field that is `read` from its file, and `nothing` where it is not."""
    return field(default_factory=nothing, metadata={"read": read})


def rows_of(table: Table, **words: Collection[str]) -> Any:
    """A field with the rows of a table that have these words (`Table.read`), or without rows."""
    return kept(lambda path: table.read(path, **words), table.empty)


def kept_in(record: type) -> dict[str, Callable[[str], Any]]:
    """How each kept field of a record is read."""
    return {one.name: one.metadata["read"] for one in fields(record) if "read" in one.metadata}


def read_from(record: type, files: Mapping[str, str], needed: Iterable[str]) -> dict[str, Any]:
    """The fields that are `needed`, from `files`, which go by the names of fields.

    Raises KeyError where one is not kept, or no file of it is given.
    """
    readers = kept_in(record)
    return {name: readers[name](files[name]) for name in sorted(needed)}
