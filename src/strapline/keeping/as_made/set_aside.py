"""Moving aside what Strapline did not make, before something is made in its place."""

from itertools import count
from pathlib import Path

from strapline.keeping.receipts import Places

FOLDER = "set-aside"


class NotMoved(Exception):
    """What is not as Strapline made it could not be moved aside; a sentence."""


def moved_aside(places: Places, name: str) -> str:
    """Move a file, a folder or a link, itself and not what it leads to; the name that it has now.

    That is the first of `results/set-aside/1/…`, `results/set-aside/2/…` that is free. Raises
    NotMoved.
    """
    within = name.removeprefix("results/")
    base = places.results / FOLDER
    try:
        names = (f"results/{FOLDER}/{number}/{within}" for number in count(1))
        return next(n for n in names if _moved(places.path_of(name), places.path_of(n), base))
    except OSError as error:
        raise NotMoved(
            f"{name} is not as Strapline made it, and could not be moved aside: {error}"
        ) from None


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
