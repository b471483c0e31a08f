"""What a file holds, told by its SHA-256."""

import hashlib
import os
from pathlib import Path


def sha256_of(path: str | os.PathLike[str]) -> str | None:
    """The SHA-256 of a file; None where it cannot be read."""
    try:
        with Path(path).open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None
