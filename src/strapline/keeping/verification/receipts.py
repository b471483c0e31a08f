"""Files against the receipts of the jobs that made them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path

from strapline.ground.records.register import Register
from strapline.ground.settings import Settings
from strapline.keeping.file_times import SNAKEMAKE_MARK
from strapline.keeping.made_with import is_of_this_code, other_settings
from strapline.keeping.receipts import Places, Receipt, others_now
from strapline.keeping.verification.problem import Outcome

REMEDY = "`snakemake` writes it again"
REMEDY_FOR_EDITS = "`snakemake` moves it aside and writes it again"
UNFINISHED = "Was left by a job that did not finish. Delete it."


def check_receipts(
    receipts: Sequence[Receipt], settings: Settings, places: Places, outcome: Outcome
) -> None:
    """That every output is as its job left it, by the method of now, from the inputs of now. What
    an earlier version made is no fault."""
    sha256_of = cache(places.sha256_of)
    altered = set()
    for receipt in receipts:
        outcome.files += len(receipt.outputs)
        for name, now in others_now(receipt.outputs, sha256_of):
            altered.add(name)
            left = f"Was changed since the stage {receipt.stage} wrote it; {REMEDY_FOR_EDITS}."
            outcome.add(name, f"Is missing; {REMEDY}." if now is None else left)
    for receipt in receipts:
        is_of_now = is_of_this_code(receipt)
        if not is_of_now:
            outcome.earlier[receipt.stage] += len(receipt.outputs)
        # What an earlier version did not know of is no other setting.
        for name, old, new in other_settings(receipt, settings) if is_of_now else ():
            reason = f"Was made with {name} {old}, which is now {new}; {REMEDY}."
            outcome.add(next(iter(receipt.outputs)), reason)
        for name, now in others_now(receipt.inputs, sha256_of):
            # What is wrong with an altered file is told of that file.
            if name not in altered:
                _tell_input(receipt, name, now is None, outcome)


def _tell_input(receipt: Receipt, name: str, gone: bool, outcome: Outcome) -> None:
    if name in receipt.raw:
        change = "Is missing" if gone else "Has changed"
        outcome.add(name, f"{change} since it was read; `snakemake` computes the rest again.")
    else:
        first = next(iter(receipt.outputs))
        outcome.add(f"{first}, from {name}", f"Was made from another input; {REMEDY}.")


def check_register(receipts: Iterable[Receipt], register: Register, outcome: Outcome) -> None:
    """That a session's devices are what they were in the register that its jobs used."""
    known = register.of_files()["devices"]
    for receipt in filter(is_of_this_code, receipts):
        used = json.loads(receipt.devices)["devices"] if receipt.devices else {}
        for name, then in used.items():
            if known.get(name) != then:
                first = next(iter(receipt.outputs))
                reason = f"Was made when the register said otherwise about {name}; {REMEDY}."
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
                yield (name, "Has no receipt: Strapline did not write it, or lost the receipt.")
