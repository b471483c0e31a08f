"""Files against the receipts of the jobs that made them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from strapline.ground.digest import sha256_of
from strapline.ground.records.register import Register
from strapline.ground.settings import Settings
from strapline.ground.versions import versions
from strapline.keeping.file_times import SNAKEMAKE_MARK
from strapline.keeping.made_with import other_libraries
from strapline.keeping.provenance import fingerprint, sections_read, stages
from strapline.keeping.receipts import Places, Receipt
from strapline.keeping.verification.problem import Outcome

REMEDY = "`snakemake` writes it again"
REMEDY_FOR_EDITS = "`snakemake` moves it aside and writes it again"
UNFINISHED = "Is left over from a job that did not finish; delete it."


@dataclass(frozen=True)
class Method:
    """A stage's fingerprint and settings as they are now."""

    fingerprint: str
    settings: dict[str, dict[str, Any]]


def methods_now(settings: Settings) -> dict[str, Method]:
    """Of every stage."""
    return {
        stage: Method(
            fingerprint(stage, settings),
            {
                name: section.model_dump(mode="json")
                for name, section in settings.only(sections_read(stage)).items()
            },
        )
        for stage in stages()
    }


@dataclass
class Hashes:
    """The SHA-256 of files as they are now, each read once."""

    places: Places
    known: dict[str, str | None] = field(default_factory=dict)

    def of(self, name: str) -> str | None:
        if name not in self.known:
            self.known[name] = sha256_of(self.places.path_of(name))
        return self.known[name]


def check_receipts(
    receipts: Iterable[Receipt], methods: Mapping[str, Method], hashes: Hashes, outcome: Outcome
) -> None:
    """That every output is as its job left it, by the method of now, from the inputs of now; all
    receipts are of stages in `methods`."""
    receipts = list(receipts)
    altered = {name for receipt in receipts for name in _check_outputs(receipt, hashes, outcome)}
    for receipt in receipts:
        outdated = _outdated(receipt, methods[receipt.stage])
        if outdated:
            outcome.add(next(iter(receipt.outputs)), outdated)
        for name, then in receipt.inputs.items():
            # What is wrong with an altered file is told of that file.
            if name not in altered and hashes.of(name) != then:
                _tell_input(receipt, name, hashes.of(name) is None, outcome)


def _check_outputs(receipt: Receipt, hashes: Hashes, outcome: Outcome) -> list[str]:
    altered = []
    for name, then in receipt.outputs.items():
        outcome.files += 1
        now = hashes.of(name)
        if now != then:
            altered.append(name)
            left = f"Was changed since the stage {receipt.stage} wrote it; {REMEDY_FOR_EDITS}."
            outcome.add(name, f"Is missing; {REMEDY}." if now is None else left)
    return altered


def _tell_input(receipt: Receipt, name: str, gone: bool, outcome: Outcome) -> None:
    if name.startswith("inbox/"):
        change = "Is missing" if gone else "Has changed"
        outcome.add(name, f"{change} since it was read; `snakemake` computes what follows again.")
    else:
        first = next(iter(receipt.outputs))
        outcome.add(f"{first}, from {name}", f"Was made from another input; {REMEDY}.")


def _outdated(receipt: Receipt, now: Method) -> str | None:
    """Why a receipt's method is not that of now; None if it is."""
    if receipt.method == now.fingerprint:
        return None
    changes = list(_changes(receipt.settings, now.settings))
    for library, number in other_libraries(receipt).items():
        changes.append(f"{library} {number}, which is now {versions()[library]}")
    if not changes:
        return f"Was made by the stage {receipt.stage} when its code was other; {REMEDY}."
    return f"Was made with {', '.join(changes)}; {REMEDY}."


def _changes(then: Mapping[str, Any], now: Mapping[str, Any], within: str = "") -> Iterable[str]:
    for key in sorted(then.keys() | now.keys()):
        old, new = then.get(key), now.get(key)
        if isinstance(old, dict) and isinstance(new, dict):
            yield from _changes(old, new, f"{within}{key}.")
        elif old != new:
            yield f"{within}{key} {old}, which is now {new}"


def check_register(receipts: Iterable[Receipt], register: Register, outcome: Outcome) -> None:
    """That a session's devices are what they were in the register that its jobs used."""
    for receipt in receipts:
        used = json.loads(receipt.devices)["devices"] if receipt.devices else {}
        for name, then in used.items():
            now = register.devices.get(name)
            if now is None or now.model_dump(mode="json") != then:
                first = next(iter(receipt.outputs))
                reason = f"Was made when {name} was another in the register of devices; {REMEDY}."
                outcome.add(first, reason)


def unrecorded(
    folders: Iterable[Path], places: Places, recorded: set[str]
) -> Iterable[tuple[str, str]]:
    """Name and fault of every file under `folders` that no job left, or that one left half done."""
    for folder in folders:
        for path in sorted(folder.rglob("*")) if folder.is_dir() else [folder]:
            if not path.is_file() or path.name == SNAKEMAKE_MARK:
                continue
            name = places.name_of(path)
            if path.suffix == ".unfinished":
                yield name, UNFINISHED
            elif name not in recorded:
                yield name, "Has no receipt: no job of this archive left it."
