"""A session's package: what goes into it, checked against the receipts of its jobs, and written."""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from strapline.ground.documents import DocumentError, as_yaml
from strapline.ground.files import write_bytes
from strapline.ground.records.intake import SessionIntake, read_intake
from strapline.ground.records.raw_tables import SCREENS
from strapline.ground.report_files import LOOKS, THEME, of_session
from strapline.ground.words import plain
from strapline.keeping.made_with import (
    AGAIN,
    computed_with,
    is_of_this_code,
    register_of,
    settings_of,
)
from strapline.keeping.packaging.explained import ALL_SUMS, NAME, SUMS, explanation
from strapline.keeping.receipts import (
    FOLDER,
    Places,
    Receipt,
    files_in,
    others_now,
    page_receipt_path,
    read_receipt,
    receipt_path,
)

PROJECT = Path(__file__).parents[4]
PROGRAM = ("Snakefile", "pyproject.toml", "LICENSE", "README.md")
PROGRAM_FOLDERS = ("workflow", "profiles", "requirements", "src", "config/schema")
# By name, with the SHA-256 of each.
Files = dict[str, str | None]


@dataclass(frozen=True)
class Packaged:
    """A file of the package: its name there, and its content."""

    name: str
    content: bytes

    @cached_property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()


def package(
    places: Places, session: str, with_raw: bool, drawings: Sequence[Packaged] = ()
) -> list[Packaged]:
    """Every file of the package, `drawings` among them. Raises DocumentError where results are not
    as their receipts say, or not what Strapline as it is now would make with their settings."""
    if not (PROJECT / "Snakefile").is_file():
        raise DocumentError(f"{PROJECT} is not Strapline's folder; install it as README says.")
    written = receipts_of(places, session)
    receipts = receipts_at(written)
    _check(receipts, places)
    intake = read_intake(places.results / "sessions" / session / "intake.json")
    cards, raw = _sources(receipts, intake)
    _check_hashes(cards | (raw if with_raw else {}), places)
    results = [
        *results_of(places, session),
        *(_packed(places.name_of(path), places) for path in written),
    ]
    left_out = [] if with_raw else [(name, str(digest)) for name, digest in raw.items()]
    about = explanation(intake, left_out, receipts)
    files = [
        *results,
        *drawings,
        *(_packed(name, places) for name in [*cards, *(raw if with_raw else ())]),
        *as_made(receipts),
        *program(),
        Packaged(SUMS, _sums(results, "results/")),
        Packaged(NAME, about.encode()),
    ]
    files.sort(key=lambda file: file.name)
    return [*files, Packaged(ALL_SUMS, _sums(files))]


def _sources(receipts: list[Receipt], intake: SessionIntake) -> tuple[Files, Files]:
    """The card, as far as there is one, and the exports that could be read."""
    read: Files = {n: digest for each in receipts for n, digest in each.raw.items() if digest}
    cards = {name: digest for name, digest in read.items() if digest == intake.card_sha256}
    return cards, {name: digest for name, digest in read.items() if name not in cards}


def receipts_at(paths: list[Path]) -> list[Receipt]:
    return [receipt for path in paths if (receipt := read_receipt(path))]


def _check(receipts: list[Receipt], places: Places) -> None:
    stages = {receipt.stage for receipt in receipts}
    if missing := sorted({"parse", "intake", "measure", "session_page"} - stages):
        raise DocumentError(f"There is no receipt of {', '.join(missing)}. {AGAIN}")
    for receipt in receipts:
        if not is_of_this_code(receipt):
            raise DocumentError(f"Results of {receipt.stage} were made by other code. {AGAIN}")
        _check_hashes(receipt.outputs, places)


def _check_hashes(files: dict[str, str | None], places: Places) -> None:
    for name, _ in others_now(files, places.sha256_of):
        raise DocumentError(f"{plain(name)} is not as it was in the last run. {AGAIN}")


def _sums(files: list[Packaged], within: str = "") -> bytes:
    """Lines as sha256sum reads them, from within a folder of the package."""
    lines = [f"{file.sha256}  {file.name.removeprefix(within)}\n" for file in files]
    return "".join(sorted(lines, key=lambda line: line[64:])).encode()


def _packed(name: str, places: Places) -> Packaged:
    """A file by the name that receipts give it."""
    return Packaged(name, places.path_of(name).read_bytes())


def results_of(places: Places, session: str) -> Iterator[Packaged]:
    """The session's tables, pictures and pages."""
    report = places.results / "report"
    pages = sorted(path for name in of_session(session) if (path := report / name).is_file())
    looks = [path for name in (*LOOKS, THEME) if (path := report / name).is_file()]
    own = _of_today(places, session, places.results / "sessions" / session)
    for path in [*own, *pages, *looks]:
        yield _packed(places.name_of(path), places)


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


# The first moment a zip can hold.
NO_TIME = (1980, 1, 1, 0, 0, 0)
READABLE = 0o644 << 16
UNIX = 3


def write_zip(path: Path, files: Sequence[Packaged]) -> None:
    """Write the files in order of name, not compressed: what compression gives depends on the
    library, and tables and pictures are compressed already."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_STORED) as archive:
        for file in sorted(files, key=lambda file: file.name):
            entry = zipfile.ZipInfo(file.name, NO_TIME)
            entry.external_attr = READABLE
            entry.create_system = UNIX
            archive.writestr(entry, file.content)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_bytes(path, content.getvalue())
