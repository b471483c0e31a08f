"""What moved since the last edition, in a few lines."""

from __future__ import annotations

import importlib
from collections.abc import Iterator, Sequence
from pathlib import Path

from strapline.ground.report_files import CHANGES_PAGE
from strapline.ground.settings import Tolerance
from strapline.ground.tables.archive import DEVICES, labels_of
from strapline.ground.tables.editions import CHANGES
from strapline.ground.tables.table import about
from strapline.ground.words import in_figures, listed
from strapline.keeping.editions.causes import kinds_of
from strapline.keeping.editions.corrections import corrections
from strapline.running.lines import Block
from strapline.running.told import Told


def edition_now(results: Path) -> int:
    """The number of the last edition; 0 where there is none."""
    place = results / "archive" / "changes.parquet"
    editions = about(place)["editions"] if place.exists() else []
    return int(editions[-1]["number"]) if editions else 0


def moved(results: Path, told: Told, tolerance: Tolerance) -> Iterator[Block]:
    """Nothing where the last edition was told of, or is the first."""
    now = edition_now(results)
    if not told.edition or now in (0, told.edition):
        return
    # Pages take a while to import, and most runs move nothing.
    context = importlib.import_module("strapline.telling.report.changes").context
    place, archive = results / "archive" / "changes.parquet", results / "archive"
    labels = labels_of(DEVICES.read(archive / "devices.parquet"))
    changes, editions = CHANGES.read(place), about(place)["editions"]
    yield from _corrected(results, [edition["folder"] for edition in editions])
    page = results / "report" / CHANGES_PAGE
    others = int((changes["change"] == "redefined").sum())
    if others:
        go = "goes" if others == 1 else "go"
        yield Block(
            f"{in_figures(others, 'figure')} {go} by another tolerance than in the last edition: "
            f"{page}"
        )
    shown = context(changes, editions, labels, tolerance)
    figures = [*shown["of_archive"], *shown["of_sessions"]]
    sentences = len(shown["claims"]) + len(shown["sentences"])
    counts = [(len(figures), "figure"), (sentences, "sentence")]
    said = listed([in_figures(count, thing) for count, thing in counts if count])
    if not said:
        return
    most = min((row for row in figures if row.read), key=lambda row: row.order, default=None)
    lines = [[f"{most.about}, {most.figure}: {most.before}, now {most.after}"]] if most else []
    which = " The largest:" if lines else ""
    kinds = ", ".join(kinds_of(shown["why"]))
    why = f" ({kinds})" if kinds else ""
    yield Block(f"{said} changed since the last edition{why}: {page}.{which}", lines)


def _corrected(results: Path, editions: Sequence[str]) -> Iterator[Block]:
    """What the last edition made of reasons that the tester gave."""
    text = results / "report" / "corrections.md"
    if not text.exists() or "\n## " not in text.read_text("utf-8"):
        return
    # It knows all figures, and with them the libraries that compute.
    moved_in = importlib.import_module("strapline.keeping.editions.history").moved_in
    found = corrections(moved_in(results / "editions", editions))
    own = [each for each in found if each.place == len(editions) - 1]
    if any(len(each.moved) for each in own):
        yield Block(f"To publish beside what was corrected: {text}")
    for each in own:
        if each.moved.empty:
            yield Block(
                f"{each.session}: no figure has changed with its correction so far. Mend its card "
                "or its exports, and type `snakemake`."
            )
