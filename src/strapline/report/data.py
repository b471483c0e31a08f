"""The archive's tables as a reader may take them away: what a column holds, and a table as CSV."""

import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv

from strapline.tables.table import Column, Table

KINDS = {"int64": "whole number", "double": "number", "bool": "true or false"}

# A spreadsheet would run a text that begins so as a formula.
FORMULA = r"^([=+\-@\t\r])"


def kind(column: Column) -> str:
    """What stands in the column, in plain words."""
    if pa.types.is_timestamp(column.type):
        return "time, UTC"
    return KINDS.get(str(column.type), "text")


def as_csv(frame: pd.DataFrame, table: Table) -> bytes:
    """`frame`, which keeps the contract `table`, as UTF-8; numbers as short as they can be
    without loss, and an apostrophe before a text that a spreadsheet would take for a formula."""
    whole = pa.Table.from_pandas(frame, schema=table.schema, preserve_index=False)
    safe = pa.table(dict(zip(whole.column_names, map(_inert, whole.columns), strict=True)))
    written = pa.BufferOutputStream()
    pyarrow.csv.write_csv(safe, written)
    content: bytes = written.getvalue().to_pybytes()
    return content


def _inert(column: pa.ChunkedArray) -> pa.ChunkedArray:
    if pa.types.is_dictionary(column.type):
        column = column.cast(pa.string())
    if not pa.types.is_string(column.type):
        return column
    return pc.replace_substring_regex(column, FORMULA, r"'\1")
