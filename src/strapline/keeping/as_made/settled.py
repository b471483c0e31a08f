"""Sessions that need not be looked at again.

Snakemake asks of each of its jobs, a dozen a session, whether something changed: minutes for years
of sessions, every time. So a run notes, at its end, of each session that is up to date what it was
made from and what files it has. Where the next run finds both as they were, the session is
settled and its jobs are left out. Of all others, Snakemake decides as ever.
"""

import hashlib
from collections.abc import Callable, Collection, Iterable, Mapping
from pathlib import Path

from pydantic import BaseModel

from strapline.ground.files import keep_note, model_at
from strapline.keeping.as_made.notes import FOLDER, Note, as_noted, state_of, ways
from strapline.keeping.provenance import canonical

FILE_NAME = "settled.json"

# What a session is made from besides the inbox and the methods of its jobs, given the devices that
# its card names.
Besides = Callable[[tuple[str, ...] | None], str]


class Seal(BaseModel):
    """`sources` and `besides`: hashes of what the session is made from, in the inbox and besides;
    `devices`: those its card names, if it names them all; `jobs`: the names of all of its jobs,
    whose notes have their methods; `folders`: of all that its files lie in."""

    sources: str
    besides: str
    devices: tuple[str, ...] | None
    jobs: tuple[str, ...]
    folders: tuple[str, ...]


class Kept(BaseModel):
    """What a run leaves for the next: seals by session, and by job a note of what it left."""

    seals: dict[str, Seal] = {}
    notes: dict[str, Note] = {}


def kept_in(results: Path) -> Kept:
    """What the last run noted; nothing where there is no such note, or it cannot be read."""
    return model_at(results / FILE_NAME, Kept) or Kept()


def keep(results: Path, before: Kept, now: Kept) -> None:
    if now != before:
        keep_note(results / FILE_NAME, now)


def settled(
    kept: Kept, sources: Mapping[str, str], besides: Besides, methods: Collection[str], results: str
) -> frozenset[str]:
    """The sessions of `sources` that are in `results` what they were when they were sealed, and
    all of whose jobs went by `methods`, the fingerprints of now."""
    return frozenset(
        session
        for session, found in sources.items()
        if (seal := kept.seals.get(session))
        and seal.sources == found
        and seal.besides == besides(seal.devices)
        and all(state_of(results, folder) == FOLDER for folder in seal.folders)
        and all(
            (note := kept.notes.get(job))
            and note.method in methods
            and as_noted(results, note.files)
            for job in seal.jobs
        )
    )


def sealed(
    sources: str,
    devices: tuple[str, ...] | None,
    besides: Besides,
    jobs: Iterable[str],
    notes: Mapping[str, Note],
) -> Seal:
    """The seal of a session that is up to date now; its `jobs` are noted."""
    jobs = tuple(jobs)
    folders = {folder for job in jobs for way in ways(notes[job].files) for folder in way}
    return Seal(
        sources=sources,
        besides=besides(devices),
        devices=devices,
        jobs=jobs,
        folders=tuple(sorted(folders)),
    )


def sealed_again(
    kept: Kept, sources: Mapping[str, str], done: Mapping[str, Seal], notes: Mapping[str, Note]
) -> Kept:
    """What to keep at the end of a run: of all sessions in the inbox, which are `sources`, with
    the seals of those that are `done`. The notes of sessions that have left go with them."""
    seals = {name: seal for name, seal in kept.seals.items() if name in sources}
    left = {job for name in kept.seals.keys() - sources.keys() for job in kept.seals[name].jobs}
    return Kept(
        seals=seals | dict(done), notes={job: n for job, n in notes.items() if job not in left}
    )


def forget(results: Path, session: str, is_of_it: Callable[[str], bool]) -> None:
    """Drop the seal of a session, and the notes of jobs whose names say that they are of it."""
    kept = kept_in(results)
    seals = {name: seal for name, seal in kept.seals.items() if name != session}
    notes = {job: note for job, note in kept.notes.items() if not is_of_it(job)}
    keep(results, kept, Kept(seals=seals, notes=notes))


def hashed(value: object) -> str:
    """One short string for a JSON-able value."""
    return hashlib.sha256(canonical(value).encode()).hexdigest()[:16]
