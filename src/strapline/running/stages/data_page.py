"""Data page: the archive's tables -> the smaller ones as CSV, and the page that tells of all."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pyarrow.parquet as pq

from strapline.ground.files import write_text
from strapline.ground.tables.archive import SESSIONS
from strapline.ground.tables.contracts import BY_NAME, IN_PARTS
from strapline.telling.report.data import DATA, Held, context, write_csv, write_sessions_csv
from strapline.telling.report.site import rendered
from strapline.telling.wearers import sessions_as_called

if TYPE_CHECKING:
    from strapline.ground.settings import Presentation


def run(
    *,
    tables: list[str],
    part_tables: list[str],
    values: list[str],
    page: str,
    presentation: Presentation,
) -> None:
    """`values`: the CSV of each of `tables`; `part_tables`: all files of those kept in parts."""
    held = []
    for source, path in zip(tables, values, strict=True):
        if Path(source).stem == SESSIONS.name:
            write_sessions_csv(sessions_as_called(SESSIONS.read(source), presentation), path)
        else:
            write_csv(source, path)
        held.append(Held(BY_NAME[Path(source).stem], _rows(source)))
    for name in IN_PARTS:
        own = [path for path in map(Path, part_tables) if path.parent.name == name]
        parts = tuple(path.stem for path in own)
        held.append(Held(BY_NAME[name], sum(map(_rows, own)), parts))
    write_text(page, rendered(DATA, presentation, context(held)))


def _rows(path: str | Path) -> int:
    rows: int = pq.read_metadata(path).num_rows
    return rows
