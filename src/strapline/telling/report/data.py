"""The archive's tables as a reader may take them away: what a column holds, and a table as CSV."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv
from markupsafe import escape

from strapline.ground.files import written_whole
from strapline.ground.report_files import DATA_PAGE
from strapline.ground.tables.archive import SESSIONS
from strapline.ground.tables.contracts import contract_of
from strapline.ground.tables.table import Column, Table
from strapline.telling.report.page import Context, Page
from strapline.telling.report.queries import QUERIES

KINDS = {"int64": "whole number", "double": "number", "bool": "true or false"}

ROWS_AT_ONCE = 50_000

# A spreadsheet would run a text that begins so as a formula.
FORMULA = r"^([=+\-@\t\r])"


@dataclass(frozen=True)
class Held:
    """A table of the archive and how many rows it has; `parts`: the names of its files if it is
    kept in parts, else None."""

    table: Table
    rows: int
    parts: tuple[str, ...] | None = None


def context(tables: Sequence[Held]) -> Context:
    """What each of the archive's tables holds, and where it lies; questions to ask of them."""
    return {"tables": tables, "kind": kind, "queries": QUERIES, "as_written": escape}


def kind(column: Column) -> str:
    """What stands in the column, in plain words."""
    if pa.types.is_timestamp(column.type):
        return "time, UTC"
    return KINDS.get(str(column.type), "text")


def write_csv(source: str, path: str) -> None:
    """Write a table of the results, without what is personal, as UTF-8; numbers as short as they
    can be without loss, and an apostrophe before a text that a spreadsheet would take for a
    formula."""
    table = contract_of(Path(source))
    assert table is not None, f"{source} is no table of the results"
    # Not all at once: as text, a table is many times as large.
    _write(table.portions(source, ROWS_AT_ONCE), _open(table), table, path)


def write_sessions_csv(called: pd.DataFrame, path: str) -> None:
    """The same of SESSIONS, with its wearers by what they are called in what is published."""
    rows = pa.Table.from_pandas(called, SESSIONS.schema, preserve_index=False)
    _write(rows.to_batches(ROWS_AT_ONCE), SESSIONS.column_names, SESSIONS, path)


def _open(table: Table) -> list[str]:
    return [column.name for column in table.columns if not column.personal]


def _write(
    portions: Iterable[pa.RecordBatch], names: Sequence[str], table: Table, path: str
) -> None:
    schema = pa.schema([(name, _inert_type(table.schema.field(name).type)) for name in names])
    with written_whole(path) as unfinished, pyarrow.csv.CSVWriter(unfinished, schema) as writer:
        for rows in portions:
            columns = [_inert(rows[name]) for name in names]
            writer.write_batch(pa.record_batch(columns, schema=schema))


def _inert_type(given: pa.DataType) -> pa.DataType:
    return pa.string() if pa.types.is_dictionary(given) else given


def _inert(column: pa.Array) -> pa.Array:
    if pa.types.is_dictionary(column.type):
        words = _inert(column.dictionary)
        return pa.DictionaryArray.from_arrays(column.indices, words).dictionary_decode()
    if not pa.types.is_string(column.type):
        return column
    return pc.replace_substring_regex(column, FORMULA, r"'\1")


DATA = Page(DATA_PAGE, "data_page", "data.html", context, word="Data")
