"""Tables against their contracts, from the Parquet footers alone.

A column that may not be missing is 'required' in Parquet and cannot hold a missing value, so the
schema is all there is to check.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq

from strapline.tables.contracts import contract_of
from strapline.verification.problem import Outcome


def check_table(name: str, path: Path, outcome: Outcome) -> None:
    contract = contract_of(path)
    if contract is None:
        outcome.add(name, "Is a table without a contract.")
        return
    try:
        schema = pq.read_schema(path)
    except (OSError, pa.ArrowException):
        outcome.add(name, "Cannot be read as a Parquet table.")
        return
    for broken in _broken(schema, contract.schema):
        outcome.add(name, f"Does not keep its contract: {broken}.")


def _broken(found: pa.Schema, wanted: pa.Schema) -> Iterator[str]:
    for name in wanted.names:
        if name not in found.names:
            yield f"column '{name}' is missing"
            continue
        column, asked = found.field(name), wanted.field(name)
        if column.type != asked.type:
            yield f"column '{name}' is of type {column.type}, not {asked.type}"
        if column.nullable and not asked.nullable:
            yield f"column '{name}' may have missing values"
        if any((column.metadata or {}).get(key) != asked.metadata[key] for key in asked.metadata):
            yield f"column '{name}' has another unit or meaning"
    extra = [name for name in found.names if name not in wanted.names]
    if extra:
        yield f"no column '{extra[0]}' belongs there"
    elif found.names != wanted.names and len(found.names) == len(wanted.names):
        yield "its columns stand in another order"
