"""Receipts: what each job read and wrote, by SHA-256, and by which method and settings.

A page or a JSON file has no place for such a note, and Snakemake's own notes stay behind when
results are moved. So every job leaves one file under `results/receipts/`, named after its first
output, and the results can be checked wherever they are.
"""

import os
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import Field

from strapline.ground.documents import Strict
from strapline.ground.files import model_at, sha256_of, write_model
from strapline.ground.report_files import of_session
from strapline.ground.versions import versions
from strapline.keeping.as_made.notes import Note, states

FOLDER = "receipts"


@dataclass(frozen=True)
class Places:
    """Where results and raw exports lie. In receipts a file is called by what it is in, such as
    'results/archive/findings.parquet', wherever that may be."""

    results: Path
    inbox: Path

    def name_of(self, path: str | os.PathLike[str]) -> str:
        bases = {"results": self.results, "inbox": self.inbox}
        # One may lie within the other.
        for name in sorted(bases, key=lambda name: -len(bases[name].parts)):
            if Path(path).is_relative_to(bases[name]):
                return (name / Path(path).relative_to(bases[name])).as_posix()
        return Path(path).as_posix()

    def path_of(self, name: str) -> Path:
        base, _, rest = name.partition("/")
        return {"results": self.results, "inbox": self.inbox}.get(base, Path(base)) / rest

    def sha256_of(self, name: str) -> str | None:
        """None where it cannot be read."""
        return sha256_of(self.path_of(name))


class Receipt(Strict):
    """Files by name (see `Places`) with their SHA-256; None for one that could not be read.

    `settings` are the sections the stage was given, `devices` the part of the register, and `bench`
    the devices under test in their order, as JSON, where it was given these; `versions` are those
    that computed, by name.
    """

    stage: str
    method: str
    settings: dict[str, dict[str, Any]]
    inputs: dict[str, str | None]
    outputs: dict[str, str | None]
    devices: str | None = None
    bench: str | None = None
    versions: dict[str, str] = Field(default={})

    @property
    def raw(self) -> dict[str, str | None]:
        """Those of its inputs that lie in the inbox."""
        return {name: sha for name, sha in self.inputs.items() if name.startswith("inbox/")}


@dataclass(frozen=True)
class Order:
    """What a job is to make, by which method and from what; paths as Snakemake gives them.

    `raw` are those inputs that lie in the inbox, with the SHA-256 each had when the run began,
    '' where it could not be read.
    """

    stage: str
    method: str
    settings: dict[str, dict[str, Any]]
    inputs: tuple[str, ...]
    outputs: tuple[str, ...]
    places: Places
    raw: Mapping[str, str] = field(default_factory=dict)
    devices: str | None = None
    bench: str | None = None

    def raw_unchanged(self) -> bool:
        return all((sha256_of(path) or "") == content for path, content in self.raw.items())

    def inputs_now(self) -> dict[str, str | None]:
        return _hashed(self.inputs, self.places)

    def leave_receipt(self, inputs: dict[str, str | None]) -> Note:
        """Write the receipt of a finished job, and give a note of what it left; `inputs` are as
        they were when it began."""
        # Before they are read: what is written to meanwhile is then not as noted.
        paths = {*map(Path, self.outputs), *_files(self.outputs)}
        left = states(str(self.places.results), map(self.places.name_of, paths))
        receipt = Receipt(
            stage=self.stage,
            method=self.method,
            settings=self.settings,
            inputs=inputs,
            outputs=_hashed(self.outputs, self.places),
            devices=self.devices,
            bench=self.bench,
            versions=versions(),
        )
        path = receipt_path(self.places, self.places.name_of(self.outputs[0]))
        path.parent.mkdir(parents=True, exist_ok=True)
        write_model(path, receipt)
        left |= states(str(self.places.results), [self.places.name_of(path)])
        raw = {self.places.name_of(path): content for path, content in self.raw.items()}
        return Note(method=self.method, sha256=raw, files=left)


def receipt_path(places: Places, first_output: str) -> Path:
    """Where the receipt of the job lies whose first output has this name."""
    return places.results / FOLDER / f"{first_output.removeprefix('results/')}.json"


def page_receipt_path(places: Places, session: str) -> Path:
    """Where the receipt of a session's pages lies."""
    return receipt_path(places, f"results/report/{of_session(session)[0]}")


def read_receipt(path: str | os.PathLike[str]) -> Receipt | None:
    """None where there is no receipt, or what is there is none."""
    return model_at(path, Receipt)


def others_now(
    files: Mapping[str, str | None], sha256_of: Callable[[str], str | None]
) -> Iterator[tuple[str, str | None]]:
    """Those of files by name whose SHA-256 is no longer as given, with the one of now."""
    for name, then in files.items():
        if (now := sha256_of(name)) != then:
            yield name, now


def files_in(folder: Path) -> list[Path]:
    """Every file in a folder and below, in order of name."""
    return sorted(path for path in folder.rglob("*") if path.is_file())


def _hashed(paths: tuple[str, ...], places: Places) -> dict[str, str | None]:
    return {places.name_of(file): sha256_of(file) for file in _files(paths)}


def _files(paths: tuple[str, ...]) -> Iterator[Path]:
    for path in map(Path, paths):
        yield from files_in(path) if path.is_dir() else [path]
