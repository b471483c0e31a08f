"""The nearest of some names to one that is not among them."""

import difflib
from collections.abc import Iterable


def nearest(word: object, names: Iterable[str]) -> str | None:
    """None where no name is near."""
    return next(iter(difflib.get_close_matches(str(word), list(names), n=1)), None)
