"""Moving aside what Strapline did not make, before something is made in its place."""

from itertools import count
from pathlib import Path

from strapline.keeping.receipts import Places

FOLDER = "set-aside"


def moved_aside(places: Places, name: str) -> str:
    """Move a file, a folder or a link, itself and not what it leads to; the name that it has now.

    That is the first of `results/set-aside/1/…`, `results/set-aside/2/…` that is free.
    """
    within = name.removeprefix("results/")
    for number in count(1):
        new = f"results/{FOLDER}/{number}/{within}"
        if _moved(places.path_of(name), places.path_of(new), places.results / FOLDER):
            return new
    raise AssertionError


def _moved(old: Path, new: Path, base: Path) -> bool:
    """Whether there was room for it."""
    try:
        new.parent.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        if not base.is_dir():
            raise
        return False
    if new.is_symlink() or new.exists():
        return False
    old.rename(new)
    return True
