"""What is noted of a session besides its results: to save time, and by Snakemake."""

from __future__ import annotations

import base64
import binascii
import re
from collections.abc import Collection
from pathlib import Path

from strapline.keeping.as_made import settled
from strapline.keeping.publications import SITE
from strapline.keeping.receipts import Places
from strapline.reading.inbox import read_once
from strapline.running import told
from strapline.running.forgetting.made import Made
from strapline.running.forgetting.removal import Removal

SNAKEMAKE = Path(".snakemake")
# Snakemake's folders with a note for each output, called by its path in base 64.
NOTES = ("metadata", "incomplete")


def take_caches(
    places: Places, made: Made, sources: Collection[str], editions: Collection[str]
) -> None:
    """Take away its entries in files that hold those of all sessions.

    sources: the files of the inbox that it was made of, by their paths there; editions: names of
    what else is no more as it was noted.
    """
    for kept in ("raw_files.json", "loose.json", "heads.json"):
        read_once.forget(places.results / kept, sources)
    told.forget(places.results, made.session)
    others = {f"results/packages/{made.session}.zip", *editions}
    site = f"results/{SITE}"
    if not places.path_of(site).is_dir():
        others.add(site)
    settled.forget(places.results, made.session, lambda n: n in others or _is_noted(made, n))


def take_snakemakes(places: Places, made: Made) -> int:
    """Take away Snakemake's notes of its outputs, in the folder of the project; how many."""
    removal = Removal(SNAKEMAKE)
    # A note has the path as it was typed for that run.
    places = Places(places.results.absolute(), places.inbox.absolute())
    for folder in NOTES:
        for path in sorted((SNAKEMAKE / folder).rglob("*")):
            output = _output(path.relative_to(SNAKEMAKE / folder))
            if output is not None and _is_noted(made, places.name_of(output.absolute())):
                removal.take(path, folder)
    return removal.taken.total()


def _is_noted(made: Made, name: str) -> bool:
    """Also of the archive's part that was called after the session, and is no more."""
    return made.has(name) or bool(
        re.search(rf"/from-{re.escape(made.session)}(\.parquet|\.csv|/|$)", name)
    )


def _output(note: Path) -> Path | None:
    """The output that a note is of. Long names are cut into folders that begin with '@'."""
    text = "".join(part.removeprefix("@") for part in note.parts)
    try:
        return Path(base64.urlsafe_b64decode(text).decode())
    except (binascii.Error, UnicodeDecodeError):
        return None
