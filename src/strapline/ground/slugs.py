"""Names that can stand in a path, made of names that people gave."""

import hashlib
import re
import unicodedata

LONGEST_SLUG = 60


def slug(name: str) -> str:
    """Lower-case ASCII letters, digits and single dashes; never empty, at most 60 long."""
    ascii_only = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    dashed = re.sub(r"[^a-z0-9]+", "-", ascii_only).strip("-")
    if not dashed:
        return f"x-{_hash(name)}"
    return dashed if len(dashed) <= LONGEST_SLUG else _with_hash(dashed, name)


def slug_apart(name: str) -> str:
    """As `slug`, with a hash of the name, for one that others come out alike with."""
    return _with_hash(slug(name), name)


def _with_hash(dashed: str, name: str) -> str:
    return f"{dashed[: LONGEST_SLUG - 9].strip('-')}-{_hash(name)}"


def _hash(name: str) -> str:
    return hashlib.sha256(name.encode("utf-8", "surrogatepass")).hexdigest()[:8]
