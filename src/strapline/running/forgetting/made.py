"""What Strapline made of a session, as the receipts of its jobs name it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from pathlib import Path

from strapline.ground.files import unfinished_name
from strapline.ground.report_files import of_session
from strapline.keeping.receipts import (
    FOLDER,
    Places,
    Receipt,
    files_in,
    page_receipt_path,
    read_receipt,
)
from strapline.running.forgetting.removal import Removal

# What Snakemake leaves in a folder that is an output.
MARK = ".snakemake_timestamp"
SITE = "publish/site"


def places_of(session: str) -> tuple[str, ...]:
    """Where results of a session lie, by name (see `Places`): files, and folders with a '/'."""
    return (
        f"results/sessions/{session}/",
        *(f"results/report/{name}" for name in of_session(session)),
        f"results/publish/sessions/{session}/",
    )


def is_of(session: str, name: str) -> bool:
    """Whether a file or folder of the results, by its name, is of the session alone."""
    return any(
        name == place.rstrip("/") or (place.endswith("/") and name.startswith(place))
        for place in places_of(session)
    )


def receipts_of(places: Places, session: str) -> list[Path]:
    """The receipts of its jobs."""
    notes = places.results / FOLDER
    folder = notes / "sessions" / session
    pages = page_receipt_path(places, session)
    published = notes / "publish" / "sessions" / f"{session}.json"
    return [*files_in(folder), *(path for path in (pages, published) if path.is_file())]


def sources_of(places: Places, session: str) -> set[str]:
    """The files of the inbox that its jobs read, by their paths there."""
    receipts = filter(None, map(read_receipt, receipts_of(places, session)))
    return {name.removeprefix("inbox/") for receipt in receipts for name in receipt.raw}


def take_made(places: Places, session: str, removal: Removal) -> list[str]:
    """Take away all that receipts name, and the receipts; the names of what is still there."""
    for path in receipts_of(places, session):
        receipt = read_receipt(path)
        if receipt is not None:
            _take(places, _own(session, receipt), removal)
            removal.take(path, FOLDER)
    _take_site(places, removal)
    return [places.name_of(path) for path in _held(places, session)]


def take_pages_but(places: Places, sessions: Collection[str]) -> None:
    """Take away the report's pages of every other session, and their receipts."""
    removal = Removal(places.results)
    for path in (places.results / FOLDER / "report" / "sessions").glob("*.html.json"):
        session, receipt = path.name.removesuffix(".html.json"), read_receipt(path)
        if session not in sessions and receipt is not None:
            _take(places, _own(session, receipt), removal)
            removal.take(path, FOLDER)


def _held(places: Places, session: str) -> Iterator[Path]:
    """Every file where results of the session lie, and its receipts."""
    for name in places_of(session):
        path = places.path_of(name.rstrip("/"))
        if path.is_symlink() or path.is_file():
            yield path
        elif path.is_dir():
            entries = sorted(path.rglob("*"))
            yield from (each for each in entries if each.is_symlink() or not each.is_dir())
    yield from receipts_of(places, session)


def _take_site(places: Places, removal: Removal) -> None:
    """It has a page of every session, and is made again when it is asked for."""
    path = places.results / FOLDER / f"{SITE}.json"
    receipt = read_receipt(path)
    if receipt is not None:
        folder = f"results/{SITE}/"
        _take(places, (name for name in receipt.outputs if name.startswith(folder)), removal)
        removal.take(path, FOLDER)


def _own(session: str, receipt: Receipt) -> Iterator[str]:
    """A receipt that names what is not the session's is not believed in that."""
    return filter(lambda name: is_of(session, name), receipt.outputs)


def _take(places: Places, outputs: Iterable[str], removal: Removal) -> None:
    """What a job left."""
    for name in outputs:
        output, place = places.path_of(name), name.split("/")[1]
        for file in (output, unfinished_name(output), output.with_name(MARK)):
            removal.take(file, place)
