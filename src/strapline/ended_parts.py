"""Parts of the archive that are no more: the session that began one has left, or is named anew."""

import shutil
from collections.abc import Collection, Iterator
from contextlib import suppress

from strapline.receipts import FOLDER, Places, receipt_path


def clear_ended_parts(places: Places, tables: Collection[str], parts: Collection[str]) -> None:
    """Remove what jobs left of every part but `parts`. `tables`: the archive's that are kept in
    parts. What has no receipt is someone else's, and stays."""
    for part in set(_with_receipts(places, tables)) - set(parts):
        for name in _files(tables, part):
            for file in (places.path_of(name), receipt_path(places, name)):
                with suppress(OSError):
                    file.unlink(missing_ok=True)
        for folder in (places.results, places.results / FOLDER):
            shutil.rmtree(folder / "parts" / part, ignore_errors=True)


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
