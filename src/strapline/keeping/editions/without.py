"""Editions without one session: what is said of it goes, and all else stays as it was published."""

from __future__ import annotations

import re
import shutil
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
from pyarrow.dataset import field
from pydantic import ValidationError

from strapline.ground.files import UnfitResult, write_model
from strapline.ground.tables.editions import CHANGES, CORRECTIONS, PUBLISHED
from strapline.keeping.editions.compare import counts
from strapline.keeping.editions.files import LAST, MOVED, OWN, PARTS, RECORD
from strapline.keeping.editions.history import (
    Edition,
    Last,
    Record,
    kept,
    marked,
    published_in,
    share,
    sums,
    unfinished,
)
from strapline.keeping.editions.in_force import InForce, Sources
from strapline.keeping.editions.published import write_published
from strapline.keeping.receipts import files_in

# What a session that was in force is called from then on.
FORGOTTEN = "a session since forgotten"


@dataclass(frozen=True)
class Holding:
    """What an edition holds of a session: `rows` of figures and sentences, and whether one of them
    is a correction; `is_whole`: it holds no other session, or cannot be read, and goes whole."""

    edition: Edition
    rows: int
    is_corrected: bool
    is_whole: bool


def holdings(history: Path, session: str) -> list[Holding]:
    """Of the editions that name it, oldest first. What is reached by a link is left alone."""
    if history.is_symlink():
        return []
    own = [each for each in kept(history) if not (history / each.folder).is_symlink()]
    return [held for edition in own if (held := _held(history / edition.folder, edition, session))]


def take_out(history: Path, held: Sequence[Holding], session: str) -> dict[str, str]:
    """Make these editions anew without the session. The folder of each by what it was called
    before; '' where it is gone."""
    own = {each.edition.folder: each for each in held}
    folders: dict[str, str] = {}
    earlier: list[Edition] = []
    for edition in kept(history):
        now: Edition | None = edition
        if edition.folder in own:
            is_whole = own[edition.folder].is_whole
            now = None if is_whole else _anew(history, edition.folder, earlier, session)
            if is_whole:
                shutil.rmtree(history / edition.folder)
            folders[edition.folder] = now.folder if now else ""
        earlier += [now] if now else []
    _tell_last(history, session, folders)
    return folders


def _anew(history: Path, folder: str, earlier: Sequence[Edition], session: str) -> Edition:
    old = history / folder
    record = Record.model_validate_json((old / RECORD).read_bytes())
    with unfinished(history) as new:
        (new / PARTS).mkdir()
        for path in published_in(old):
            _write_without(path, new / path.relative_to(old), session)
        for before in (old, *(history / each.folder for each in earlier[-1:])):
            share(before, new)
        moved = _moved_without(old / MOVED, new / MOVED, session)
        mark = marked(new)
        said = {
            "fingerprint": mark,
            "moved": counts(moved),
            "why": _naming(session).sub(FORGOTTEN, record.why),
            "same_as": max((e.number for e in earlier if e.fingerprint == mark), default=None),
            "in_force": _in_force_without(record.in_force, session),
            "files": sums(new),
        }
        record = record.model_copy(update=said)
        write_model(new / RECORD, record)
        _put(new, old, history / record.folder)
    return record


def _tell_last(history: Path, session: str, folders: Mapping[str, str]) -> None:
    """Let what was in force last name neither the session nor a folder by its name before."""
    path = history / LAST
    if path.is_symlink():
        return
    with suppress(OSError, ValidationError):
        last = Last.model_validate_json(path.read_bytes())
        now = Last(
            edition=folders.get(last.edition, last.edition),
            in_force=_in_force_without(last.in_force, session),
        )
        if now != last:
            write_model(path, now)


def _held(folder: Path, edition: Edition, session: str) -> Holding | None:
    """None where it says nothing of the session."""
    try:
        now = Record.model_validate_json((folder / RECORD).read_bytes()).in_force
        tables = [
            pq.read_table(path, columns=["place"], filters=field("session") == session)
            for path in published_in(folder)
        ]
        own = [place for table in tables for place in table["place"].to_pylist()]
        is_told = _tells(folder / MOVED, session) or bool(_naming(session).search(edition.why))
    except (OSError, KeyError, ValidationError, pa.ArrowException):
        return Holding(edition, 0, is_corrected=False, is_whole=True)
    if not own and not is_told and session not in now.sessions:
        return None
    is_whole = now.sessions.keys() - {FORGOTTEN} == {session}
    return Holding(edition, len(own), CORRECTIONS in own, is_whole)


def _tells(path: Path, session: str) -> bool:
    """Whether what moved, or why, names the session."""
    table = pq.read_table(path, columns=["session", "why"])
    reasons = set(table["why"].to_pylist())
    return session in table["session"].to_pylist() or any(map(_naming(session).search, reasons))


def _write_without(path: Path, to: Path, session: str) -> None:
    """The rows of other sessions; a part with none is none, and one that was called after the
    session is called after the next in it."""
    rest = _rest(path, session)
    if len(rest) == pq.read_metadata(path).num_rows:
        shutil.copyfile(path, to)
        return
    if to.stem.endswith(f"-{session}") and len(rest):
        first = min(filter(None, rest["session"].to_pylist()))
        to = to.with_stem(f"{to.stem.removesuffix(session)}{first}")
    if len(rest) or path.name == OWN:
        pq.write_table(rest, to)
        # One that another version of Strapline wrote keeps its mark.
        with suppress(UnfitResult):
            write_published(PUBLISHED.read(to), to)


def _moved_without(path: Path, to: Path, session: str) -> pd.DataFrame:
    """What moved of other sessions, for reasons that do not name this one."""
    rest, named = _rest(path, session), _naming(session)
    why = [named.sub(FORGOTTEN, text) for text in rest["why"].to_pylist()]
    place, column = rest.schema.get_field_index("why"), rest.schema.field("why")
    pq.write_table(rest.set_column(place, column, pa.array(why, column.type)), to)
    with suppress(UnfitResult):
        moved = CHANGES.read(to)
        CHANGES.write(moved, to)
        return moved
    return pd.DataFrame({"change": rest["change"].to_pylist()})


def _rest(path: Path, session: str) -> pa.Table:
    """The rows of other sessions, with no word of this one among those that columns choose from."""
    # A row without a name, which another version may have written, stays; by != it would go.
    rest = pq.read_table(path, filters=~field("session").isin([session]))
    spelt_out = [
        each.with_type(pa.string()) if pa.types.is_dictionary(each.type) else each
        for each in rest.schema
    ]
    return rest.cast(pa.schema(spelt_out)).cast(rest.schema)


def _in_force_without(now: InForce, session: str) -> InForce:
    """What had it in force still did: its end is then a reason that can be told."""
    if session not in now.sessions:
        return now
    others = {name: own for name, own in now.sessions.items() if name != session}
    return now.model_copy(update={"sessions": others | {FORGOTTEN: Sources(exports={})}})


def _naming(session: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w-]){re.escape(session)}(?![\w-])")


def _put(new: Path, old: Path, target: Path) -> None:
    """Put one in the place of the other. Where that is cut short, both are there, or their sums
    differ: in either case the session is still found in it."""
    if target == old:
        # The record last.
        for file in sorted(files_in(new), key=lambda file: file.name == RECORD):
            file.replace(old / file.relative_to(new))
        return
    shutil.rmtree(target, ignore_errors=True)
    new.rename(target)
    shutil.rmtree(old)
