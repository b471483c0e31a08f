"""Data page: the archive's tables -> each as CSV, and the page that says what they hold."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pyarrow.parquet as pq

from strapline.files import write_text, written_whole
from strapline.report.data import join_csv, write_csv
from strapline.report.pages import data_page
from strapline.tables.contracts import CONTRACTS
from strapline.tables.sessions import METRICS

if TYPE_CHECKING:
    from strapline.settings import Presentation


def run(
    *,
    tables: list[str],
    part_values: list[str],
    values: list[str],
    page: str,
    presentation: Presentation,
) -> None:
    """`values`: the CSV of each of `tables`, whose names are those of their contracts;
    `part_values`: that of METRICS, the largest by far, in parts."""
    contracts = {table.name: table for table in CONTRACTS}
    held = []
    for source, path in zip(tables, values, strict=True):
        table = contracts[Path(source).stem]
        with written_whole(path) as unfinished, unfinished.open("wb") as file:
            if table is METRICS and part_values:
                join_csv(part_values, file)
            else:
                write_csv(source, table, file)
        held.append((table, pq.read_metadata(source).num_rows))
    write_text(page, data_page(held, presentation))
