"""Writing a file whole or not at all."""

import os
from pathlib import Path

from pydantic import BaseModel


def write_bytes(path: str | os.PathLike[str], content: bytes) -> None:
    """Write under a temporary name beside `path`, then rename: no reader sees half a file."""
    unfinished = Path(f"{os.fspath(path)}.unfinished")
    unfinished.write_bytes(content)
    unfinished.replace(path)


def write_text(path: str | os.PathLike[str], text: str) -> None:
    """Write `text` as UTF-8; lone surrogates, which UTF-8 cannot hold, become '?'."""
    write_bytes(path, text.encode("utf-8", "replace"))


def write_model(path: str | os.PathLike[str], model: BaseModel) -> None:
    """Write a model as JSON that a person can read."""
    write_text(path, model.model_dump_json(indent=1) + "\n")
