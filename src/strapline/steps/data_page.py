"""Data page: the archive's tables -> each as CSV, and the page that says what they hold."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pyarrow.parquet as pq

from strapline.files import write_text, written_whole
from strapline.report.data import join_csv, write_csv
from strapline.report.pages import data_page
from strapline.tables.contracts import BY_NAME, contract_of
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
    """`values`: the CSV of each table, by its name; `part_values`: that of METRICS, the largest by
    far, in parts."""
    held = []
    for path in values:
        table = BY_NAME[Path(path).stem]
        sources = [source for source in tables if contract_of(Path(source)) is table]
        with written_whole(path) as unfinished, unfinished.open("wb") as file:
            if table is METRICS and part_values:
                join_csv(part_values, file)
            else:
                write_csv(sources, table, file)
        rows = sum(pq.read_metadata(source).num_rows for source in sources)
        in_one = [Path(source).stem for source in sources] == [table.name]
        held.append((table, rows, f"{table.name}.parquet" if in_one else f"{table.name}/"))
    write_text(page, data_page(held, presentation))
