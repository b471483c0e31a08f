"""The contract of every table: columns, types, units and meaning.

A table is checked against its contract at the one place that writes it, and carries the
contract with it: unit and meaning stand in the Parquet field metadata, and what a table is
about (the file it came from, say) stands in the schema metadata as JSON.
"""

import errno
import itertools
import json
import os
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import Any

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
from pyarrow.dataset import dataset

from strapline.ground.files import UnfitResult, written_whole

TIME = pa.timestamp("ms", tz="UTC")
TEXT = pa.string()
WORD = pa.dictionary(pa.int32(), pa.string())
REAL = pa.float64()
COUNT = pa.int64()

# What a reader of a large file takes or passes over at once.
ROWS_A_GROUP = 50_000

_ABOUT = b"strapline"

OnePath = str | os.PathLike[str]


class ContractError(ValueError):
    """A table that does not keep its contract: a defect of Strapline, never of an export."""


@dataclass(frozen=True)
class Column:
    name: str
    type: pa.DataType
    meaning: str
    unit: str = ""
    nullable: bool = True
    # Says who somebody is, or something of their body: it is in nothing that is published.
    personal: bool = False


# A column in which no value is missing.
required = partial(Column, nullable=False)


@dataclass(frozen=True)
class Table:
    """A named list of columns, and the only way to read or write a table that has them.

    is_public
        Whether a reader can take it away, from the data page.
    in_parts
        Whether it has rows of every session: it is then a folder, with a file for each part.
    """

    name: str
    meaning: str
    columns: tuple[Column, ...]
    is_public: bool = False
    in_parts: bool = False

    @cached_property
    def schema(self) -> pa.Schema:
        fields = [
            pa.field(
                column.name,
                column.type,
                nullable=column.nullable,
                metadata={"unit": column.unit, "meaning": column.meaning},
            )
            for column in self.columns
        ]
        return pa.schema(fields)

    @property
    def column_names(self) -> list[str]:
        return [column.name for column in self.columns]

    @cached_property
    def _empty(self) -> pd.DataFrame:
        return _to_pandas(self.schema.empty_table())

    def empty(self) -> pd.DataFrame:
        return self._empty.copy()

    def frame(self, columns: Mapping[str, Any]) -> pd.DataFrame:
        """A frame that keeps this contract; columns not given are missing throughout."""
        length = max((len(values) for values in columns.values()), default=0)
        if length == 0:
            return self.empty()
        given = [columns.get(name, [None] * length) for name in self.column_names]
        with self._kept():
            arrays = list(map(_array, given, self.schema))
            return _to_pandas(pa.Table.from_arrays(arrays, schema=self.schema))

    def from_rows(self, rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
        """A frame that keeps this contract, from one mapping a row."""
        return self.frame({name: [row.get(name) for row in rows] for name in self.column_names})

    def joined(self, frames: Sequence[pd.DataFrame]) -> pd.DataFrame:
        """The frames as one, in that order.

        Joined as Arrow tables: pandas makes text of words where two frames have different ones.
        """
        if not frames:
            return self.empty()
        whole = pa.concat_tables([self._checked(frame) for frame in frames])
        return _to_pandas(whole.unify_dictionaries())

    def write(self, frame: pd.DataFrame, path: OnePath, **about: Any) -> None:
        """Write `frame` to `path`, whole or not at all; `about` is kept as JSON beside it.

        Raises ContractError where columns, types or missing values break the contract.
        """
        table = self._checked(frame)
        if about:
            metadata = {_ABOUT: json.dumps(about, sort_keys=True, ensure_ascii=False).encode()}
            table = table.replace_schema_metadata(metadata)
        with written_whole(path) as unfinished:
            pq.write_table(table, unfinished, compression="zstd")

    def read(
        self, path: OnePath | Sequence[OnePath], *columns: str, **words: Collection[str]
    ) -> pd.DataFrame:
        """The table at `path`, or those at several paths as one, in their order; one that is kept
        in parts is a folder. All or some of the columns, and only rows that have one of the `words`
        in each column so named.

        Raises UnfitResult for a table that does not keep this contract: without this, columns
        that it lacks would be read as missing throughout."""
        files = _files(path)
        if not files:
            return self.empty()[list(columns) or self.column_names]
        for file in files:
            for reason in self.broken(schema_of(file)):
                raise UnfitResult(file, reason)
        only = [(name, "in", sorted(wanted)) for name, wanted in words.items()]
        try:
            table = pq.read_table(
                files, schema=self.schema, columns=list(columns) or None, filters=only or None
            )
        except (pa.ArrowInvalid, OSError) as error:
            # The machine's own errors have a number; what Arrow cannot decode has none.
            if getattr(error, "errno", None) is not None:
                raise
            raise UnfitResult(" or ".join(map(str, files)), "it is damaged") from error
        return _to_pandas(table)

    def broken(self, found: pa.Schema) -> Iterator[str]:
        """In what a schema does not keep this contract. A column that may not be missing is
        'required' in Parquet and cannot hold a missing value, so nothing else is to be checked."""
        for field in self.schema:
            if field.name not in found.names:
                yield f"column '{field.name}' is missing"
                continue
            column = found.field(field.name)
            if column.type != field.type:
                yield f"column '{field.name}' is of type {column.type}, not {field.type}"
            if column.nullable and not field.nullable:
                yield f"column '{field.name}' may have missing values"
            known = column.metadata or {}
            if any(known.get(key) != field.metadata[key] for key in field.metadata):
                yield f"column '{field.name}' has another unit or meaning"
        extra = [name for name in found.names if name not in self.schema.names]
        if extra:
            yield f"no column '{extra[0]}' belongs there"
        elif found.names != self.schema.names and len(found.names) == len(self.schema):
            yield "its columns stand in another order"

    def portions(self, path: OnePath, rows: int) -> Iterator[pa.RecordBatch]:
        """The table at `path`, not more than `rows` of it at once."""
        with pq.ParquetFile(path) as file:
            yield from (batch.cast(self.schema) for batch in file.iter_batches(rows))

    def gather(self, paths: Sequence[str], path: OnePath) -> None:
        """Write the tables at `paths` as one to `path`, in their order.

        They become no frame on the way, and are not held all at once: an archive is large.
        """
        with (
            written_whole(path) as unfinished,
            pq.ParquetWriter(unfinished, self.schema, compression="zstd") as writer,
        ):
            for rows in self._in_groups(paths):
                writer.write_table(rows)

    def _in_groups(self, paths: Sequence[str]) -> Iterator[pa.Table]:
        """The tables at `paths` one after the other, ROWS_A_GROUP or more at once."""
        held: list[pa.RecordBatch] = []
        tables = dataset(list(paths), schema=self.schema, format="parquet")
        for batch in tables.to_batches(batch_readahead=1, fragment_readahead=1):
            held.append(batch)
            if sum(map(len, held)) >= ROWS_A_GROUP:
                yield pa.Table.from_batches(held).unify_dictionaries()
                held = []
        if held:
            yield pa.Table.from_batches(held).unify_dictionaries()

    def _checked(self, frame: pd.DataFrame) -> pa.Table:
        if list(frame.columns) != self.column_names:
            raise ContractError(f"{self.name}: columns {list(frame.columns)}, not the contract's")
        with self._kept():
            table = pa.Table.from_pandas(frame, schema=self.schema, preserve_index=False)
        return table.replace_schema_metadata(None)

    @contextmanager
    def _kept(self) -> Iterator[None]:
        try:
            yield
        except (ValueError, pa.ArrowException) as error:
            raise ContractError(f"{self.name}: {error}") from error


def _files(path: OnePath | Sequence[OnePath]) -> list[Path]:
    given = [path] if isinstance(path, str | os.PathLike) else path
    each = (sorted(p.glob("*.parquet")) if p.is_dir() else [p] for p in map(Path, given))
    return list(itertools.chain.from_iterable(each))


def _array(values: Any, field: pa.Field) -> pa.Array:
    """`values` as the contract has them."""
    array = pa.array(values, from_pandas=True).cast(field.type)
    if array.null_count and not field.nullable:
        raise ValueError(f"{array.null_count} values of {field.name} are missing")
    return array


def about(path: OnePath) -> dict[str, Any]:
    """What the table at `path` says it is about, as given when it was written."""
    metadata = schema_of(path).metadata or {}
    text = metadata.get(_ABOUT)
    try:
        told = {} if text is None else json.loads(text)
    except ValueError as error:
        raise UnfitResult(path, "nothing can be read of what it is about") from error
    if not isinstance(told, dict):
        raise UnfitResult(path, "it says nothing of what it is about")
    return told


def schema_of(path: OnePath) -> pa.Schema:
    """The columns of the table at `path`. Raises UnfitResult where a file is no table, and
    FileNotFoundError that names the file, as Arrow's does not."""
    try:
        return pq.read_schema(path)
    except FileNotFoundError as error:
        raise FileNotFoundError(errno.ENOENT, "No such file", str(path)) from error
    except pa.ArrowInvalid as error:
        raise UnfitResult(path, "it is no Parquet table") from error


def _to_pandas(table: pa.Table) -> pd.DataFrame:
    frame: pd.DataFrame = table.to_pandas()
    return frame
