"""The archive's tables as a reader may take them away: what a column holds, and a table as CSV."""

import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import BinaryIO

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv

from strapline.tables.table import Column, Table

KINDS = {"int64": "whole number", "double": "number", "bool": "true or false"}

ROWS_AT_ONCE = 50_000

# A spreadsheet would run a text that begins so as a formula.
FORMULA = r"^([=+\-@\t\r])"


def kind(column: Column) -> str:
    """What stands in the column, in plain words."""
    if pa.types.is_timestamp(column.type):
        return "time, UTC"
    return KINDS.get(str(column.type), "text")


def write_csv(sources: Sequence[str], table: Table, file: BinaryIO) -> None:
    """Write what `sources` hold under the contract `table` as UTF-8; numbers as short as they can
    be without loss, and an apostrophe before a text that a spreadsheet would take for a
    formula."""
    schema = pa.schema([(field.name, _inert_type(field.type)) for field in table.schema])
    with pyarrow.csv.CSVWriter(file, schema) as writer:
        # Not all at once: as text, an archive is many times as large as the table.
        for rows in table.portions(sources, ROWS_AT_ONCE):
            writer.write_batch(pa.record_batch(list(map(_inert, rows.columns)), schema=schema))


def join_csv(parts: Sequence[str], file: BinaryIO) -> None:
    """Write the lines of all `parts`, as `write_csv` left them, under the header of the first."""
    for place, part in enumerate(parts):
        with Path(part).open("rb") as source:
            header = source.readline()
            if place == 0:
                file.write(header)
            shutil.copyfileobj(source, file)


def _inert_type(given: pa.DataType) -> pa.DataType:
    return pa.string() if pa.types.is_dictionary(given) else given


def _inert(column: pa.Array) -> pa.Array:
    if pa.types.is_dictionary(column.type):
        words = _inert(column.dictionary)
        return pa.DictionaryArray.from_arrays(column.indices, words).dictionary_decode()
    if not pa.types.is_string(column.type):
        return column
    return pc.replace_substring_regex(column, FORMULA, r"'\1")
