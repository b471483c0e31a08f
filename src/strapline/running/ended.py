"""What is no more: parts of the archive whose session has left, or is named anew, and raw files
that were taken out of a session or replaced."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from strapline.ground.files import sha256_of
from strapline.ground.records.raw_tables import BEATS_ENDING, SCREENS
from strapline.keeping.as_made.notes import in_the_way, is_there, state_of
from strapline.keeping.as_made.set_aside import moved_aside
from strapline.keeping.receipts import FOLDER, Places, files_in, read_receipt, receipt_path


def clear_ended_parts(
    places: Places, tables: Collection[str], parts: Collection[str]
) -> dict[str, str]:
    """Remove what jobs left of every part but `parts`; see `_cleared`. `tables`: the archive's
    that are kept in parts. What has no receipt beside it is someone else's, and stays."""
    moved: dict[str, str] = {}
    for part in set(_with_receipts(places, tables)) - set(parts):
        folder, notes = places.results / "parts" / part, places.results / FOLDER / "parts" / part
        names = [*_files(tables, part), *map(places.name_of, files_in(folder))]
        receipts = [*files_in(notes), *(receipt_path(places, name) for name in names)]
        moved |= _cleared(places, names, receipts)
        for path in (folder, notes):
            with suppress(OSError):
                path.rmdir()
    return moved


def clear_strangers(
    places: Places, tables: Collection[str], parts: Collection[str]
) -> dict[str, str]:
    """Move aside what else lies in the folders of tables that are kept in parts, and would be read
    as one of them: by name, the new name."""
    folders = [places.results / "archive" / table for table in tables]
    names = [
        places.name_of(path)
        for folder in folders
        for path in sorted(folder.glob("*.parquet"))
        if path.stem not in parts and not path.name.startswith(".")
    ]
    return {name: moved_aside(places, name) for name in names if _is_in_place(places, name)}


def ended_raw_files(places: Places, raw_files: Mapping[str, Collection[str]]) -> list[str]:
    """The names of the tables of samples of every raw file but those that a session has now.
    `raw_files`: by session, what the tables of its files are called."""
    ended = []
    for session, held in raw_files.items():
        own = places.results / "sessions" / session / "raw"
        notes = places.results / FOLDER / "sessions" / session / "raw"
        found = [*own.glob("*.parquet"), *notes.glob("*.parquet.json")]
        stems = {path.name.partition(".")[0] for path in found} - {"", *held}
        ended += [f"results/sessions/{session}/raw/{stem}.parquet" for stem in sorted(stems)]
    return ended


def clear_raw_files(places: Places, samples: Collection[str]) -> dict[str, str]:
    """Remove what jobs left of raw files, by the names of the tables of `samples`; see
    `_cleared`."""
    moved: dict[str, str] = {}
    for name in samples:
        stem = name.removesuffix(".parquet")
        folder, _, raw = stem.rpartition("/raw/")
        screen = f"{folder}/{SCREENS}/{raw}.png"
        receipts = [receipt_path(places, each) for each in (name, screen)]
        moved |= _cleared(places, [name, f"{stem}{BEATS_ENDING}", screen], receipts)
    return moved


def _cleared(places: Places, names: Sequence[str], receipts: Sequence[Path]) -> dict[str, str]:
    """Remove the files of these names, and the receipts. What is not as its job left it is moved
    aside: by name, the new name."""
    moved: dict[str, str] = {}
    left: dict[str, str | None] = {}
    for receipt in filter(None, map(read_receipt, receipts)):
        left |= receipt.outputs
    for name in names:
        if _is_as_left(places, name, left.get(name)):
            places.path_of(name).unlink()
        elif _is_in_place(places, name):
            moved[name] = moved_aside(places, name)
    for path in receipts:
        path.unlink(missing_ok=True)
    return moved


def _is_as_left(places: Places, name: str, sha256: str | None) -> bool:
    is_file = _is_in_place(places, name) and state_of(str(places.results), name)
    return sha256 is not None and bool(is_file) and sha256_of(places.path_of(name)) == sha256


def _is_in_place(places: Places, name: str) -> bool:
    """Whether there is something of that name, and not behind a link."""
    results = str(places.results)
    return is_there(results, name) and not in_the_way(results, [name])


def _files(tables: Collection[str], part: str) -> Iterator[str]:
    """The names of a part's files, see `Places`."""
    for table in tables:
        yield f"results/archive/{table}/{part}.parquet"
        yield f"results/report/data/{table}/{part}.csv"


def _with_receipts(places: Places, tables: Collection[str]) -> Iterator[str]:
    notes = places.results / FOLDER
    yield from (folder.name for folder in (notes / "parts").glob("*") if folder.is_dir())
    for table in tables:
        for folder, ending in (("archive", ".parquet.json"), ("report/data", ".csv.json")):
            for note in (notes / folder / table).glob(f"*{ending}"):
                yield note.name.removesuffix(ending)
