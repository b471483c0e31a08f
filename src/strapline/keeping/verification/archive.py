"""A whole archive: its sessions one by one, in several processes, and what they share."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Collection, Iterable
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from strapline.ground.files import UnfitResult, sha256_of
from strapline.ground.records.register import Register
from strapline.ground.report_files import of_session
from strapline.ground.settings import Settings, Tolerance
from strapline.ground.tables.contracts import contract_of
from strapline.ground.tables.table import schema_of
from strapline.ground.words import plain
from strapline.keeping.as_made.handed_on import not_as_made
from strapline.keeping.as_made.settled import kept_in
from strapline.keeping.made_with import is_of_this_code
from strapline.keeping.provenance import stages
from strapline.keeping.publications import SESSIONS, published
from strapline.keeping.receipts import (
    FOLDER,
    Places,
    Receipt,
    files_in,
    page_receipt_path,
    read_receipt,
)
from strapline.keeping.tracing.kept import KeptSession
from strapline.keeping.verification.figures import check_session_figures
from strapline.keeping.verification.problem import Outcome
from strapline.keeping.verification.receipts import (
    UNFINISHED,
    check_receipts,
    check_register,
    unrecorded,
)
from strapline.method.metrics.again import Near

# A process takes a second to start; so many sessions are worth one.
SESSIONS_A_PROCESS = 25

LEFT = (
    "Belongs to a session that is no longer in the inbox. Put its exports back, or type "
    "`strapline forget` and its name."
)
HANDED_ON = "Was changed, and is left as it is, since you may have passed it on."


def verify(places: Places, settings: Settings, register: Register) -> tuple[Outcome, int]:
    """What is wrong with the archive under `places`, and how many sessions it has."""
    sessions = _sessions(places)
    check = partial(check_session, places, settings, register)
    processes = min(os.cpu_count() or 1, -(-len(sessions) // SESSIONS_A_PROCESS))
    whole = check_shared(places, settings, sessions)
    if processes < 2:
        outcomes = list(map(check, sessions))
    else:
        context = multiprocessing.get_context("spawn")
        with ProcessPoolExecutor(processes, mp_context=context) as pool:
            outcomes = list(pool.map(check, sessions, chunksize=8))
    for outcome in outcomes:
        whole.include(outcome)
    return whole, len(sessions)


def check_session(places: Places, settings: Settings, register: Register, session: str) -> Outcome:
    """Everything that is of one session."""
    outcome, kept = Outcome(), KeptSession(places, session)
    pages = [places.results / "report" / name for name in of_session(session)]
    noted = [places.results / FOLDER / "sessions" / session, page_receipt_path(places, session)]
    receipts = _receipts(noted, places, outcome)
    held = [kept.folder, *pages]
    if _has_left(receipts, places):
        at = [address for address, name in published(places).items() if name == session]
        folders = [places.results / SESSIONS / address for address in at]
        for path in filter(Path.exists, [*held, *noted, *folders]):
            outcome.add(places.name_of(path), LEFT)
        return outcome
    _check(receipts, held, places, settings, outcome)
    check_register(receipts, register, outcome)
    if outcome.earlier:
        # The files are as they were left; what is in them is not for this version to judge.
        return outcome
    try:
        if not outcome.problems:
            _check_raw(kept, outcome)
        for receipt in receipts:
            if receipt.stage == "measure":
                tolerance = Tolerance.model_validate(receipt.settings["tolerance"])
                near = Near(tolerance.beats, tolerance.percent)
                check_session_figures(kept, near, outcome)
    except (OSError, ValueError, LookupError) as error:
        reason = plain(str(error), 200)
        outcome.add(f"results/sessions/{session}", f"Its figures cannot be checked: {reason}")
    return outcome


def _has_left(receipts: Iterable[Receipt], places: Places) -> bool:
    """Whether none of the files that a session was made of lies in the inbox any more."""
    raw = {name for receipt in receipts for name in receipt.raw}
    return bool(raw) and not any(places.path_of(name).exists() for name in raw)


def check_shared(places: Places, settings: Settings, sessions: Collection[str]) -> Outcome:
    """What all sessions share: the archive's tables and charts, and the report's other pages."""
    outcome, notes = Outcome(), places.results / FOLDER
    report = places.results / "report"
    own = {report / name for session in sessions for name in of_session(session)}
    pages = [path for path in files_in(report) if path not in own]
    notes_of_pages = [path for path in (notes / "report").glob("*") if path.is_file()]
    noted = [*(notes / name for name in ("archive", "parts", "report/data")), *notes_of_pages]
    receipts = _receipts(noted, places, outcome)
    folders = [places.results / "archive", places.results / "parts"]
    _check(receipts, [*folders, *pages], places, settings, outcome)
    for path in notes.rglob("*.unfinished"):
        outcome.add(places.name_of(path), UNFINISHED)
    for name in not_as_made(places, kept_in(places.results).notes):
        outcome.add(name, HANDED_ON)
    return outcome


def _sessions(places: Places) -> list[str]:
    """Those with results, or with receipts of results."""
    made = {path.parent.name for path in (places.results / "sessions").glob("*/intake.json")}
    return sorted(made | {path.name for path in (places.results / FOLDER / "sessions").glob("*")})


def _receipts(paths: Iterable[Path], places: Places, outcome: Outcome) -> list[Receipt]:
    """The receipts at and below paths, in order of name; none of stages that there were once, for
    what they made may be another's by now."""
    found, known = [], stages()
    for path in paths:
        for file in files_in(path) if path.is_dir() else [path]:
            receipt = read_receipt(file)
            if receipt is not None and receipt.stage in known:
                found.append(receipt)
            elif receipt is not None:
                ended = f"Is of an old stage, {plain(receipt.stage, 40)}. Delete it."
                outcome.add(places.name_of(file), ended)
            elif file.suffix == ".json" and file.exists():
                outcome.add(places.name_of(file), "Is not a receipt. Delete it and its file.")
    return found


def _check(
    receipts: list[Receipt],
    held: Iterable[Path],
    places: Places,
    settings: Settings,
    outcome: Outcome,
) -> None:
    """Receipts against files, files against receipts, and tables against their contracts, but for
    those of an earlier version, which may have had others."""
    check_receipts(receipts, settings, places, outcome)
    for receipt in receipts:
        outcome.versions |= set(receipt.versions.items())
    recorded = {name for receipt in receipts for name in receipt.outputs}
    for name, fault in unrecorded(held, places, recorded):
        outcome.add(name, fault)
    of_now = {name for receipt in receipts if is_of_this_code(receipt) for name in receipt.outputs}
    for name in sorted(of_now):
        if name.endswith(".parquet") and places.path_of(name).exists():
            check_table(name, places.path_of(name), outcome)


def _check_raw(kept: KeptSession, outcome: Outcome) -> None:
    """That the hash the tables and pages give is that of the file in the inbox."""
    for entry in kept.intake.recordings:
        export = kept.export(entry)
        stated = kept.raw.about(entry.raw)["sha256"] if entry.raw else None
        if stated != sha256_of(export) or entry.sha256 != (stated or ""):
            outcome.add(kept.places.name_of(export), "Has another SHA-256 than its tables give.")


def check_table(name: str, path: Path, outcome: Outcome) -> None:
    contract = contract_of(path)
    if contract is None:
        outcome.add(name, "Is no table that Strapline knows.")
        return
    try:
        schema = schema_of(path)
    except (OSError, UnfitResult):
        outcome.add(name, "Cannot be read as a Parquet table.")
        return
    for broken in contract.broken(schema):
        outcome.add(name, f"Is not a table as it should be: {broken}.")
