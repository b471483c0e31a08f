"""What is not as it was made: by notes of sizes and times and, where those differ, by receipts."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import NamedTuple

from strapline.keeping.as_made.notes import (
    FOLDER,
    Job,
    Note,
    State,
    as_noted,
    in_the_way,
    is_there,
    state_of,
    within,
)
from strapline.keeping.file_times import SNAKEMAKE_MARK
from strapline.keeping.receipts import (
    Order,
    Places,
    Receipt,
    others_now,
    read_receipt,
    receipt_path,
)


class Found(NamedTuple):
    """What is not as a job made it; nothing of it is true where all is.

    `missing`: its outputs that are to be made, or made again; of its files, `gone` are no more
    and `altered` are others than it left; `outdated`: whether it went by another method or other
    raw files than those of now; `stale`: the inputs that were others when it read them.
    """

    missing: frozenset[str] = frozenset()
    gone: tuple[str, ...] = ()
    altered: tuple[str, ...] = ()
    outdated: bool = False
    stale: tuple[str, ...] = ()


class Look:
    """`notes`: of jobs that were as they were made, by name; `methods`: each stage's fingerprint;
    `content_of` gives the SHA-256 of a raw file now, by name, None if it is not in the inbox."""

    def __init__(
        self,
        places: Places,
        notes: Mapping[str, Note],
        methods: Mapping[str, str],
        content_of: Callable[[str], str | None],
    ) -> None:
        self.places = places
        self.notes = dict(notes)
        self.methods = methods
        self._results = str(places.results)
        self._content_of = content_of
        self._outputs: dict[str, tuple[State | None, dict[str, str | None]]] = {}

    def at(self, job: Job, made_from: Iterable[Job] = ()) -> Found:
        """Look at what a job left; `made_from` are the jobs that make its inputs. Where all is as
        it was made, it is noted."""
        note = self.notes.get(job.name)
        if note and job.outputs.keys() <= note.files.keys() and self._is_as_noted(job, note):
            return Found(outdated=self._is_outdated(job, note))
        receipt = self.receipt(job)
        now = self._noted(job, receipt, note)
        left = receipt.outputs.keys() if receipt else note.files.keys() if note else set()
        wrong = {*job.outputs, *left} - now.files.keys()
        blocking = in_the_way(self._results, [*self._places_of(job), *left])
        beside = {n for n in wrong if not any(within(n, other) for other in blocking)}
        altered = {name for name in beside if self.is_there(name)}
        folders = {name for name, is_folder in job.outputs.items() if is_folder}
        found = Found(
            frozenset(
                output
                for output in job.outputs
                if receipt is None
                or any(within(name, output) for name in wrong)
                or any(within(name, output) or within(output, name) for name in blocking)
            ),
            # What its rule gained since has never been there.
            tuple(sorted(n for n in beside - altered if n in left or (left and n in folders))),
            tuple(sorted(altered | blocking)),
            receipt is not None and self._is_outdated(job, now),
            tuple(self._stale(receipt, made_from)) if receipt else (),
        )
        if not any(found):
            self.notes[job.name] = now
        return found

    def foreign(self, job: Job) -> Iterator[str]:
        """Names of all in the place of a job's outputs and receipt that no job of this archive
        left there."""
        places, note = self._places_of(job), self.notes.get(job.name)
        yield from sorted(blocking := in_the_way(self._results, places))
        there = [
            name
            for name in places
            if self.is_there(name) and not any(within(name, other) for other in blocking)
        ]
        if not there:
            return
        if note is None or not as_noted(self._results, note.files):
            note = self._noted(job, self.receipt(job), note)
        for name in there:
            if places[name] and state_of(self._results, name) == FOLDER:
                yield from self._strangers(name, note.files)
            elif name not in note.files:
                yield name

    def is_there(self, name: str) -> bool:
        return is_there(self._results, name)

    def is_as_noted(self, job: Job) -> bool:
        note = self.notes.get(job.name)
        return note is not None and self._is_as_noted(job, note)

    def note(self, order: Order, note: Note) -> None:
        """Of a job that is done."""
        self.notes[self.places.name_of(order.outputs[0])] = note

    def forget(self, jobs: Iterable[str]) -> None:
        """Jobs of which nothing is left."""
        for name in jobs:
            self.notes.pop(name, None)

    def is_noted(self, job: Job) -> bool:
        """Whether it is, as done by the method and from the raw files of now."""
        note = self.notes.get(job.name)
        return note is not None and not self._is_outdated(job, note)

    def confirm(self, job: Job, made_from: Iterable[Job]) -> None:
        """Drop the note of a job that did not read what the others left."""
        receipt = self.receipt(job)
        if receipt is None or any(self._stale(receipt, made_from)):
            self.notes.pop(job.name, None)

    def date_again(self, job: Job, was_whole: bool) -> None:
        """Note the times of a job's files anew; `was_whole`: whether all were as noted before they
        were dated anew."""
        note = self.notes.pop(job.name, None)
        if note and was_whole:
            files = {name: state_of(self._results, name) for name in note.files}
            dated = {n: s for n, s in files.items() if s and s[0] == note.files[n][0]}
            if dated.keys() == note.files.keys():
                self.notes[job.name] = note.model_copy(update={"files": dated})

    def receipt(self, job: Job) -> Receipt | None:
        own = self._receipt_of(job)
        # A pipe in its place would never be read to its end.
        if not state_of(self._results, own) or in_the_way(self._results, [own]):
            return None
        found = read_receipt(self.places.path_of(own))
        return found if found and found.stage == job.stage else None

    def _is_as_noted(self, job: Job, note: Note) -> bool:
        names = [*self._places_of(job), *note.files]
        return as_noted(self._results, note.files) and not in_the_way(self._results, names)

    def _places_of(self, job: Job) -> dict[str, bool]:
        """Its outputs and its receipt, and whether each is a folder."""
        return job.outputs | {self._receipt_of(job): False}

    def _receipt_of(self, job: Job) -> str:
        return self.places.name_of(receipt_path(self.places, job.name))

    def _strangers(self, folder: str, ours: Mapping[str, object]) -> Iterator[str]:
        for entry in sorted(self.places.path_of(folder).iterdir()):
            path = f"{folder}/{entry.name}"
            # Snakemake, or a job that was killed, leaves such in a folder that it makes.
            is_passing = entry.name == SNAKEMAKE_MARK or entry.name.endswith(".unfinished")
            if path in ours or is_passing:
                continue
            if state_of(self._results, path) == FOLDER and any(
                within(known, path) for known in ours
            ):
                yield from self._strangers(path, ours)
            else:
                yield path

    def _noted(self, job: Job, receipt: Receipt | None, note: Note | None) -> Note:
        """A note of those of the job's files that are as it left them."""
        own, files = self._receipt_of(job), {}
        recorded = receipt.outputs if receipt else {}
        # Where there is another receipt than was noted, it decides.
        holds = note and (not receipt or note.files.get(own) == state_of(self._results, own))
        noted = note.files if note and holds else {}
        sha256_now = self.places.sha256_of
        for name in {*noted, *recorded, *job.outputs} | ({own} if receipt else set()):
            state = state_of(self._results, name)
            if state and (
                state == (FOLDER if job.outputs.get(name) else noted.get(name))
                or (name == own and receipt)
                or (state != FOLDER and recorded.get(name) and sha256_now(name) == recorded[name])
            ):
                files[name] = state
        raw = {name: sha or "" for name, sha in (receipt.raw if receipt else {}).items()}
        return Note(method=receipt.method if receipt else "", sha256=raw, files=files)

    def _is_outdated(self, job: Job, note: Note) -> bool:
        raw = note.sha256.items()
        return note.method != self.methods.get(job.stage) or any(
            self._content_of(name) != sha for name, sha in raw
        )

    def _stale(self, receipt: Receipt, made_from: Iterable[Job]) -> Iterator[str]:
        """Inputs of which the jobs that made them say otherwise; where none did in this run's
        sight, the files themselves."""
        made: dict[str, str | None] = {}
        for job in made_from:
            made |= self._recorded(job)
        raw, sha256_now = receipt.raw, self.places.sha256_of
        ours = {name: sha for name, sha in receipt.inputs.items() if name not in raw}
        for name, now in others_now(ours, lambda n: made[n] if n in made else sha256_now(n)):
            if now is not None:
                yield name

    def _recorded(self, job: Job) -> dict[str, str | None]:
        """What the job's receipt says of its outputs. Many jobs are made from one."""
        state = state_of(self._results, self._receipt_of(job))
        if self._outputs.get(job.name, (None, {}))[0] != state:
            receipt = self.receipt(job)
            self._outputs[job.name] = state, receipt.outputs if receipt else {}
        return self._outputs.get(job.name, (None, {}))[1]
