"""Data page: the archive's tables -> each as CSV, and the page that says what they hold."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from strapline.files import write_text, written_whole
from strapline.report.data import write_csv
from strapline.report.pages import data_page
from strapline.tables.contracts import CONTRACTS

if TYPE_CHECKING:
    from strapline.settings import Presentation


def run(*, tables: list[str], values: list[str], page: str, presentation: Presentation) -> None:
    """`values`: the CSV of each of `tables`, whose names are those of their contracts."""
    contracts = {table.name: table for table in CONTRACTS}
    held = []
    for source, path in zip(tables, values, strict=True):
        table = contracts[Path(source).stem]
        with written_whole(path) as unfinished, unfinished.open("wb") as file:
            held.append((table, write_csv(source, table, file)))
    write_text(page, data_page(held, presentation))
