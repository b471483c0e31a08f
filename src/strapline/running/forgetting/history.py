"""What editions hold of a session that is forgotten."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from strapline.ground.report_files import OF_STAGE
from strapline.keeping.editions.without import Holding, take_out
from strapline.keeping.receipts import Places, receipt_path
from strapline.running.forgetting.removal import Removal

FOLDER = "editions"
# What is said of the last editions, to be said anew.
TOLD = (
    "results/archive/changes.parquet",
    *(f"results/report/{name}" for name in OF_STAGE["changes_page"].values()),
)


def editions_of(results: Path) -> Path:
    return results / FOLDER


def take_from_editions(
    places: Places, held: Sequence[Holding], session: str, removal: Removal
) -> list[str]:
    """Take it out of each, and away the page that shows the last, which the next run makes anew.
    The names of all that this touches."""
    history = editions_of(places.results)
    folders = take_out(history, held, session)
    for name in TOLD:
        for path in (places.path_of(name), receipt_path(places, name)):
            removal.take(path, FOLDER)
    names = {*folders, *folders.values()} - {""}
    return [*TOLD, *(places.name_of(history / name) for name in sorted(names))]
