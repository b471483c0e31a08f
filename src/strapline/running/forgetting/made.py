"""What Strapline made of a session, as the receipts of its jobs name it. One that names what is not
the session's is not believed in that."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from strapline.ground.files import unfinished_name
from strapline.ground.report_files import of_session
from strapline.keeping.file_times import SNAKEMAKE_MARK
from strapline.keeping.publications import SESSIONS, SITE, published, receipts_of_sessions, shown
from strapline.keeping.receipts import (
    FOLDER,
    Places,
    files_in,
    others_now,
    page_receipt_path,
    read_receipt,
)
from strapline.running.forgetting.removal import Removal


@dataclass(frozen=True)
class Made:
    """What was made of a session: `published`, the addresses at which."""

    session: str
    published: tuple[str, ...] = ()

    @property
    def places(self) -> tuple[str, ...]:
        """Where results of it lie, by name (see `Places`): files, and folders with a '/'."""
        return (
            f"results/sessions/{self.session}/",
            *(f"results/report/{name}" for name in of_session(self.session)),
            *(f"results/{SESSIONS}/{address}/" for address in self.published),
        )

    def has(self, name: str) -> bool:
        """Whether a file or folder of the results, by its name, is of the session alone."""
        return any(
            name == place.rstrip("/") or (place.endswith("/") and name.startswith(place))
            for place in self.places
        )

    def receipts(self, places: Places) -> list[Path]:
        """The receipts of its jobs."""
        folder = places.results / FOLDER / "sessions" / self.session
        folders = receipts_of_sessions(places)
        others = [page_receipt_path(places, self.session), *map(folders.get, self.published)]
        return [*files_in(folder), *(path for path in others if path and path.is_file())]


def made_of(places: Places, session: str) -> Made:
    """A folder that is called after the session is taken for its own where none says whose."""
    found = published(places)
    own = {address for address, name in found.items() if name == session}
    return Made(session, tuple(sorted(own | ({session} - found.keys()))))


def sources_of(places: Places, made: Made) -> set[str]:
    """The files of the inbox that its jobs read, by their paths there."""
    receipts = filter(None, map(read_receipt, made.receipts(places)))
    return {name.removeprefix("inbox/") for receipt in receipts for name in receipt.raw}


def take_made(places: Places, made: Made, removal: Removal) -> list[str]:
    """Take away all that receipts name, and the receipts; the names of what is still there."""
    for path in made.receipts(places):
        _take_job(places, path, made, removal)
    _take_site(places, made.session, removal)
    return [places.name_of(path) for path in _held(places, made)]


def take_pages_but(places: Places, sessions: Collection[str]) -> None:
    """Take away the report's pages of every other session, and their receipts."""
    removal = Removal(places.results)
    for path in (places.results / FOLDER / "report" / "sessions").glob("*.html.json"):
        session = path.name.removesuffix(".html.json")
        if session not in sessions:
            _take_job(places, path, Made(session), removal)


def take_published_but(places: Places, addresses: Mapping[str, str]) -> None:
    """Take away what was published of these sessions elsewhere than at their `addresses`: an older
    one may have a wearer's name in it. What somebody edited stays."""
    removal, receipts = Removal(places.results), receipts_of_sessions(places)
    for address, session in published(places).items():
        if addresses.get(session, address) != address:
            receipt = read_receipt(receipts[address])
            edited = others_now(receipt.outputs, places.sha256_of) if receipt else ()
            if all(now is None for _, now in edited):
                _take_job(places, receipts[address], Made(session, (address,)), removal)


def _held(places: Places, made: Made) -> Iterator[Path]:
    """Every file where results of the session lie, and its receipts."""
    for name in made.places:
        path = places.path_of(name.rstrip("/"))
        if path.is_symlink() or path.is_file():
            yield path
        elif path.is_dir():
            entries = sorted(path.rglob("*"))
            yield from (each for each in entries if each.is_symlink() or not each.is_dir())
    yield from made.receipts(places)


def _take_site(places: Places, session: str, removal: Removal) -> None:
    """It has a page of every session that was made for it, and is made again when it is asked
    for."""
    path = places.results / FOLDER / f"{SITE}.json"
    receipt = read_receipt(path)
    if receipt is not None and session in shown(receipt):
        folder = f"results/{SITE}/"
        _take(places, (name for name in receipt.outputs if name.startswith(folder)), removal)
        removal.take(path, FOLDER)


def _take_job(places: Places, path: Path, made: Made, removal: Removal) -> None:
    """Take away what the receipt at `path` names and is of what was `made`, and the receipt."""
    receipt = read_receipt(path)
    if receipt is not None:
        _take(places, filter(made.has, receipt.outputs), removal)
        removal.take(path, FOLDER)


def _take(places: Places, outputs: Iterable[str], removal: Removal) -> None:
    """What a job left."""
    for name in outputs:
        output, place = places.path_of(name), name.split("/")[1]
        for file in (output, unfinished_name(output), output.with_name(SNAKEMAKE_MARK)):
            removal.take(file, place)
