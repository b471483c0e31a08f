"""The steps of a session by plain calls, in one warm process on one core."""

import inspect
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import Any

import psutil

from strapline.ground.files import sha256_of
from strapline.ground.records.raw_tables import raw_name
from strapline.ground.settings import Settings
from strapline.ground.tables.contracts import BY_NAME
from strapline.keeping.provenance import sections_read
from strapline.reading.inbox.discovery import SessionFolder, read_inbox
from strapline.telling.kept import kept_in
from strapline.telling.session_tables import SessionTables

# By the names that the steps themselves give to what they read and write: a table's own, if it has
# no other here.
FILES = {name: f"{name}.parquet" for name in BY_NAME} | {
    "intake": "intake.json",
    "draft": "session.draft.yaml",
    "clocks": "alignment.json",
    "ledger": "ledger.json",
    "differences_table": "differences.parquet",
    "found": "episodes.parquet",
    "charts": "charts",
    "page": "page.html",
    "origin": "origin.html",
    "figures": "figures.json",
    "seconds": "seconds.js",
}

DEFAULT = Settings()
# In order.
STAGES = (
    "parse",
    "intake",
    "normalise",
    "align",
    "measure",
    "episodes",
    "consequences",
    "chart",
    "session_page",
)


def floor(inbox: Path, most: int) -> float:
    """Seconds a session, the mean over up to `most` sessions of `inbox` after one to warm up."""
    with tempfile.TemporaryDirectory() as folder, on_one_core():
        return _floor(inbox, most, Path(folder))


@contextmanager
def on_one_core() -> Iterator[None]:
    """Libraries have threads of their own, with which a process takes more than its share."""
    process = psutil.Process()
    cores = process.cpu_affinity()
    process.cpu_affinity(cores[:1])
    try:
        yield
    finally:
        process.cpu_affinity(cores)


def _floor(inbox: Path, most: int, results: Path) -> float:
    found = read_inbox(inbox, Settings(), results)
    sessions = list(found.sessions.values())[: most + 1]
    perform_session(sessions[0], results)
    started = time.perf_counter()
    for session in sessions[1:]:
        perform_session(session, results)
    return (time.perf_counter() - started) / len(sessions[1:])


def perform_session(
    session: SessionFolder, results: Path, settings: Settings = DEFAULT, since: str = STAGES[0]
) -> None:
    """From a stage on, where what the stages before it make is there."""
    place = results / session.name
    place.mkdir(parents=True, exist_ok=True)
    exports = {str(export): sha256_of(export) or "" for export in session.exports}
    kinds = {"samples": "parquet", "beats": "beats.parquet"}
    stems = {export: place / raw_name(digest) for export, digest in exports.items()}
    each = {
        export: {kind: f"{stem}.{ending}" for kind, ending in kinds.items()}
        for export, stem in stems.items()
    }
    given: dict[str, Any] = {name: str(place / file) for name, file in FILES.items()}
    given |= {kind: [files[kind] for files in each.values()] for kind in kinds}
    given |= {"session": session.name, "title": session.title, "hints": "{}"}
    given["card"] = [] if session.card is None else [str(session.card)]
    given["exports"] = exports
    given["screens"] = []
    given |= {"register": '{"devices": {}}', "wearer": "{}", "bench": "[]", "made_with": ""}

    def perform(stage: str, given: dict[str, Any]) -> None:
        sections = settings.only(sections_read(stage))
        wanted = [name for name in arguments(stage) if name not in sections]
        if "tables" in wanted:
            wanted = [name for name in wanted if name != "tables"] + [
                "intake",
                *kept_in(SessionTables),
            ]
        module(stage).run(**{name: given[name] for name in wanted}, **sections)

    for stage in STAGES[STAGES.index(since) :]:
        if stage == "parse":
            for export, digest in exports.items():
                perform(stage, given | each[export] | {"export": export, "content": digest})
        else:
            perform(stage, given)


def arguments(stage: str) -> list[str]:
    return list(inspect.signature(module(stage).run).parameters)


def module(stage: str) -> Any:
    return import_module(f"strapline.running.stages.{stage}")
