"""A session's package: put together, checked against the receipts of its jobs, and written."""

import io
import zipfile
from collections.abc import Sequence
from pathlib import Path

from strapline.ground.documents import DocumentError
from strapline.ground.files import write_bytes
from strapline.ground.records.intake import SessionIntake, read_intake
from strapline.ground.words import plain
from strapline.keeping.made_with import AGAIN, is_of_this_code
from strapline.keeping.packaging.contents import (
    PROJECT,
    Packaged,
    as_made,
    program,
    receipts_of,
    results_of,
    sources_of,
)
from strapline.keeping.packaging.explained import ALL_SUMS, NAME, SUMS, explanation
from strapline.keeping.receipts import Places, Receipt, others_now, read_receipt

# By name, with the SHA-256 of each.
Files = dict[str, str | None]


def package(
    places: Places, session: str, with_raw: bool, drawings: Sequence[Packaged] = ()
) -> list[Packaged]:
    """Every file of the package, `drawings` among them. Raises DocumentError where results are not
    as their receipts say, or not what Strapline as it is now would make with their settings."""
    if not (PROJECT / "Snakefile").is_file():
        raise DocumentError([f"{PROJECT} is not Strapline's folder; install it as README says."])
    written = receipts_of(places, session)
    receipts = receipts_at(written)
    _check(receipts, places)
    intake = read_intake(places.results / "sessions" / session / "intake.json")
    cards, raw = _sources(receipts, intake)
    _check_hashes(cards | (raw if with_raw else {}), places)
    results = [
        *results_of(places, session),
        *(Packaged(places.name_of(path), path.read_bytes()) for path in written),
    ]
    left_out = [] if with_raw else [(name, str(digest)) for name, digest in raw.items()]
    about = explanation(intake, left_out, receipts)
    files = [
        *results,
        *drawings,
        *sources_of(places, list(cards)),
        *(sources_of(places, list(raw)) if with_raw else []),
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
        raise DocumentError([f"There is no receipt of {', '.join(missing)}. {AGAIN}"])
    for receipt in receipts:
        if not is_of_this_code(receipt):
            raise DocumentError([f"Results of {receipt.stage} were made by other code. {AGAIN}"])
        _check_hashes(receipt.outputs, places)


def _check_hashes(files: dict[str, str | None], places: Places) -> None:
    for name, _ in others_now(files, places.sha256_of):
        raise DocumentError([f"{plain(name)} is not as it was in the last run. {AGAIN}"])


def _sums(files: list[Packaged], within: str = "") -> bytes:
    """Lines as sha256sum reads them, from within a folder of the package."""
    lines = [f"{file.sha256}  {file.name.removeprefix(within)}\n" for file in files]
    return "".join(sorted(lines, key=lambda line: line[64:])).encode()


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
