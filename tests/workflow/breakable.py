"""An archive to be broken at will."""

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

from strapline.keeping.receipts import Places
from strapline.running.commands import main

SESSION = "2026-04-02-run-mira"


@dataclass(frozen=True)
class Archive:
    places: Places
    settings: Path

    @property
    def session(self) -> Path:
        return self.places.results / "sessions" / SESSION

    @property
    def page(self) -> Path:
        return self.places.results / "report" / "sessions" / f"{SESSION}.html"

    def where(self) -> list[str]:
        return ["--results", f"{self.places.results}", "--inbox", f"{self.places.inbox}"]

    def verify(self) -> int:
        return main(["verify", *self.where(), "--settings", f"{self.settings}"])


def linked(source: Path, target: Path) -> None:
    """A copy without copying: whoever changes a file must put another in its place."""
    target.parent.mkdir(parents=True, exist_ok=True)
    if source.is_dir():
        shutil.copytree(source, target, copy_function=os.link, dirs_exist_ok=True)
    else:
        os.link(source, target)


def put(path: Path, content: bytes) -> None:
    """Put another file in the place of one, which may be linked to."""
    path.unlink(missing_ok=True)
    path.write_bytes(content)
