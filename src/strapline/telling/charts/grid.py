"""A table as a picture: rows by columns, a number in each cell."""

from collections.abc import Mapping, Sequence
from typing import Any

from strapline.ground.records.marks import starred
from strapline.telling.charts.ends import ROOM_OF_ROW
from strapline.telling.charts.letters import broken
from strapline.telling.charts.picture import Content, by_column

# By row and column: what a cell says (`said`), in how many sessions (`counted`), how dark it is
# (`shade`, from 0 to 1), and on the scale from 0 to 1 a dot (`at`) and the ends of its interval
# (`low`, `high`), which may lie beyond.
Cells = Mapping[tuple[int, int], Mapping[str, Any]]
_PARTS = ("said", "counted", "shade", "place", "at", "low", "high")
EMPTY = {"said": "–"}


def grid(
    subtitle: str,
    rows: Sequence[tuple[str, str]],
    columns: Sequence[str],
    cells: Cells,
    most: float | None = None,
) -> Content:
    """`rows`: the label of each, and what stands beneath it, if anything does; `most`: where the
    cells' scale from 0 ends, if they have one."""
    labels, meaning = starred([label for label, _ in rows])
    found = [
        {"row": row, "column": column, **{part: cell.get(part) for part in _PARTS}}
        for (row, column), cell in sorted(cells.items())
    ]
    names = [
        {
            "row": row,
            "label": ", ".join(filter(None, [label, note])),
            "lines": broken(label, ROOM_OF_ROW, 1, bold=True, most=1 if note else 2)
            + ([note] if note else []),
        }
        for row, (label, (_, note)) in enumerate(zip(labels, rows, strict=True))
    ]
    heads = [{"column": place, "said": said} for place, said in enumerate(columns)]
    ends = [] if most is None else [(0, "0"), (1, f"{most:g}")]
    scale = [
        {"column": place, "at": at, "said": said}
        for place in range(len(columns))
        for at, said in ends
    ]
    return Content(
        f"{subtitle} {meaning}".strip(),
        {
            "cells": by_column(found),
            "names": by_column(names),
            "heads": by_column(heads),
            "scale": by_column(scale),
        },
        {"across": len(columns)},
    )
