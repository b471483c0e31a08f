"""A session's package, put together and checked against the receipts of its jobs."""

from dataclasses import dataclass
from pathlib import Path

from strapline.charts.text import plain
from strapline.digest import sha256_of
from strapline.documents import DocumentError
from strapline.packaging.contents import (
    PROJECT,
    Packaged,
    program,
    receipts_of,
    results_of,
    sources_of,
)
from strapline.packaging.crate import METADATA, metadata
from strapline.packaging.explained import NAME, SUMS, explanation
from strapline.provenance import fingerprint
from strapline.receipts import Places, Receipt, read_receipt
from strapline.session.intake import read_intake
from strapline.settings import load_settings
from strapline.tables.sessions import ALIGNED

AGAIN = "Type `snakemake` first."
UNKNOWN_DATE = "1980-01-01"


@dataclass(frozen=True)
class Config:
    """The documents in force: their paths."""

    settings: Path
    devices: Path


def package(places: Places, session: str, config: Config, with_raw: bool) -> list[Packaged]:
    """Every file of the package. Raises DocumentError where results are not as their receipts
    say, or not what the settings and Strapline would give now."""
    if not (PROJECT / "Snakefile").is_file():
        raise DocumentError([f"{PROJECT} is not Strapline's folder; install it as README says."])
    written = receipts_of(places, session)
    receipts = [receipt for path in written if (receipt := read_receipt(path))]
    _check(receipts, places, config)
    raw, cards = _sources(receipts, "parse"), _sources(receipts, "intake")
    _check_hashes(cards | (raw if with_raw else {}), places)
    results = [
        *results_of(places, session),
        *(Packaged(places.name_of(path), path.read_bytes(), "Receipt") for path in written),
    ]
    left_out = [] if with_raw else [(name, str(digest)) for name, digest in raw.items()]
    files = [
        *results,
        *sources_of(places, list(cards), "Session card"),
        *(sources_of(places, list(raw), "Raw export") if with_raw else []),
        *program(config.settings, config.devices),
        Packaged(SUMS, _sums(results), "SHA-256 of the results"),
        Packaged(NAME, explanation(session, left_out).encode(), "What this is, how to check it"),
    ]
    files.sort(key=lambda file: file.name)
    title = plain(read_intake(places.results / "sessions" / session / "intake.json").title)
    described = metadata(title, _date(places, session), files, receipts)
    return [*files, Packaged(METADATA, described, "What the package holds, for machines")]


def _sources(receipts: list[Receipt], stage: str) -> dict[str, str | None]:
    """Files of the inbox that a stage read, with the SHA-256 they had."""
    return {
        name: digest
        for receipt in receipts
        if receipt.stage == stage
        for name, digest in receipt.inputs.items()
        if not name.startswith("results/")
    }


def _check(receipts: list[Receipt], places: Places, config: Config) -> None:
    stages = {receipt.stage for receipt in receipts}
    if missing := sorted({"parse", "intake", "measure", "session_page"} - stages):
        raise DocumentError([f"There is no receipt of {', '.join(missing)}. {AGAIN}"])
    settings = load_settings(config.settings)
    for receipt in receipts:
        if receipt.method != fingerprint(receipt.stage, settings):
            raise DocumentError(
                [f"Results of {receipt.stage} were made by other code or settings. {AGAIN}"]
            )
        _check_hashes(receipt.outputs, places)


def _check_hashes(files: dict[str, str | None], places: Places) -> None:
    for name, digest in files.items():
        if sha256_of(places.path_of(name)) != digest:
            raise DocumentError([f"{plain(name)} is not as it was in the last run. {AGAIN}"])


def _sums(results: list[Packaged]) -> bytes:
    """Lines as sha256sum reads them, from within the folder of results."""
    lines = [f"{file.sha256}  {file.name.removeprefix('results/')}\n" for file in results]
    return "".join(sorted(lines, key=lambda line: line[64:])).encode()


def _date(places: Places, session: str) -> str:
    """The day of the session's first second."""
    times = ALIGNED.read(places.results / "sessions" / session / "aligned.parquet")["time"]
    return f"{times.min():%Y-%m-%d}" if len(times) else UNKNOWN_DATE
