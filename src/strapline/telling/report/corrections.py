"""`corrections.md`: what to publish beside figures that were published before and have changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from strapline.ground.words import MISSING
from strapline.telling.report.changes import as_printed
from strapline.telling.report.markdown import literal

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance
    from strapline.keeping.editions.corrections import Correction

HEAD = "# Corrections"
NONE = "Nothing that was published has been corrected."


def corrections_text(
    corrected: Sequence[Correction], labels: Mapping[Any, str], tolerance: Tolerance
) -> str:
    """The newest first, each with its reason and the figures before and now."""
    sections = [_section(each, labels, tolerance) for each in corrected] or [[NONE]]
    return "\n".join([HEAD, *(line for lines in sections for line in ("", *lines))]) + "\n"


def _section(corrected: Correction, labels: Mapping[Any, str], tolerance: Tolerance) -> list[str]:
    return [
        f"## {literal(corrected.session)}",
        "",
        literal(corrected.why),
        "",
        *_figures(corrected, labels, tolerance),
    ]


def _figures(
    corrected: Correction, labels: Mapping[Any, str], tolerance: Tolerance
) -> Iterator[str]:
    moved = [{str(k): v for k, v in row.items()} for row in corrected.moved.to_dict("records")]
    rows = [row for row in as_printed(moved, labels, tolerance) if row.read and row.value_moved]
    if not rows:
        yield "No published figure has changed with it so far."
        return
    yield "| figure | before | corrected |"
    yield "| --- | --- | --- |"
    for row in rows:
        about = row.about.removeprefix(f"{corrected.session}, ")
        now = "withdrawn" if row.after == MISSING else row.after
        cells = (f"{about}, {row.figure}", row.before, now)
        yield f"| {' | '.join(map(literal, cells))} |"
