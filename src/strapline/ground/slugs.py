"""Names that can stand in a path, made of names that people gave."""

import hashlib
import itertools
import re
import unicodedata
from collections.abc import Iterator

LONGEST_SLUG = 60
# Of a device or an activity, as cards and the register have them.
LONGEST_NAME = 40


def slug(name: str) -> str:
    """Lower-case ASCII letters, digits and single dashes; never empty, at most 60 long."""
    ascii_only = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    dashed = re.sub(r"[^a-z0-9]+", "-", ascii_only).strip("-")
    if not dashed:
        return f"x-{_hash(name)}"
    return dashed if len(dashed) <= LONGEST_SLUG else _with_hash(dashed, name)


def short_slug(name: str) -> str:
    """As `slug`, at most 40 long."""
    return slug(name)[:LONGEST_NAME].strip("-")


def numbered(name: str) -> Iterator[str]:
    """'name', 'name-2', 'name-3', …: the first that is free may be taken."""
    yield name
    yield from (f"{name}-{number}" for number in itertools.count(2))


def slug_apart(name: str) -> str:
    """As `slug`, with a hash of the name, for one that others come out alike with."""
    return _with_hash(slug(name), name)


def _with_hash(dashed: str, name: str) -> str:
    return f"{dashed[: LONGEST_SLUG - 9].strip('-')}-{_hash(name)}"


def _hash(name: str) -> str:
    return hashlib.sha256(name.encode("utf-8", "surrogatepass")).hexdigest()[:8]
