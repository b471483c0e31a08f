"""What goes into a session's package."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from strapline.ground.documents import as_yaml
from strapline.ground.records.intake import read_intake
from strapline.ground.records.raw_tables import SCREENS
from strapline.ground.report_files import LOOKS, THEME, of_session
from strapline.keeping.made_with import computed_with, register_of, settings_of
from strapline.keeping.receipts import (
    FOLDER,
    Places,
    Receipt,
    files_in,
    page_receipt_path,
    receipt_path,
)

PROJECT = Path(__file__).parents[4]
PROGRAM = ("Snakefile", "pyproject.toml", "LICENSE", "README.md")
PROGRAM_FOLDERS = ("workflow", "profiles", "requirements", "src", "config/schema")


@dataclass(frozen=True)
class Packaged:
    """A file of the package: its name there, and its content."""

    name: str
    content: bytes

    @cached_property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()


def results_of(places: Places, session: str) -> Iterator[Packaged]:
    """The session's tables, pictures and pages."""
    report = places.results / "report"
    pages = sorted(path for name in of_session(session) if (path := report / name).is_file())
    looks = [path for name in (*LOOKS, THEME) if (path := report / name).is_file()]
    own = _of_today(places, session, places.results / "sessions" / session)
    for path in [*own, *pages, *looks]:
        yield Packaged(places.name_of(path), path.read_bytes())


def receipts_of(places: Places, session: str) -> list[Path]:
    """The receipts of all jobs of the session, and of what its page is shown by."""
    own = _of_today(places, session, places.results / FOLDER / "sessions" / session)
    shared = [receipt_path(places, f"results/report/{name}") for name in (THEME, LOOKS[0])]
    pages = [page_receipt_path(places, session), *shared]
    return [*own, *(path for path in pages if path.is_file())]


def _of_today(places: Places, session: str, folder: Path) -> list[Path]:
    """Files of a session but those of raw files that it no longer has, and but for screenshots."""
    intake = read_intake(places.results / "sessions" / session / "intake.json")
    held = {entry.raw for entry in intake.recordings}
    return [
        path
        for path in files_in(folder)
        if path.parent != folder / SCREENS
        and (path.parent != folder / "raw" or path.name.partition(".")[0] in held)
    ]


def sources_of(places: Places, names: list[str]) -> Iterator[Packaged]:
    """Files of the inbox by the names that receipts give them."""
    for name in names:
        yield Packaged(name, places.path_of(name).read_bytes())


def as_made(receipts: Sequence[Receipt]) -> Iterator[Packaged]:
    """With what the results were made: settings, register, versions. Raises DocumentError."""
    settings, register = settings_of(receipts), register_of(receipts)
    found = computed_with(receipts)
    lines = [f"{name}=={' and '.join(numbers)}\n" for name, numbers in found.items()]
    yield Packaged("config/settings.yaml", as_yaml(settings).encode())
    yield Packaged("config/devices.yaml", as_yaml(register).encode())
    yield Packaged("versions.txt", "".join(lines).encode())


def program() -> Iterator[Packaged]:
    """Strapline itself."""
    files = [PROJECT / name for name in PROGRAM]
    files += [file for folder in PROGRAM_FOLDERS for file in files_in(PROJECT / folder)]
    for file in files:
        name = file.relative_to(PROJECT)
        if not any(part == "__pycache__" or part.endswith(".egg-info") for part in name.parts):
            yield Packaged(name.as_posix(), file.read_bytes())
