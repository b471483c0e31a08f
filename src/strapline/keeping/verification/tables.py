"""Tables against their contracts, from the Parquet footers alone."""

from __future__ import annotations

from pathlib import Path

from strapline.ground.files import UnfitResult
from strapline.ground.tables.contracts import contract_of
from strapline.ground.tables.table import schema_of
from strapline.keeping.verification.problem import Outcome


def check_table(name: str, path: Path, outcome: Outcome) -> None:
    contract = contract_of(path)
    if contract is None:
        outcome.add(name, "Is a table without a contract.")
        return
    try:
        schema = schema_of(path)
    except (OSError, UnfitResult):
        outcome.add(name, "Cannot be read as a Parquet table.")
        return
    for broken in contract.broken(schema):
        outcome.add(name, f"Does not keep its contract: {broken}.")
