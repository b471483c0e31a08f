"""Jobs that are under way, so that what was not well ended is made anew.

Snakemake writes down that a job has begun only after handing it out, and by then a short job may
have written its outputs: killed in between, a run leaves files that the next takes for finished.
So each job itself leaves a note before it writes anything, and takes it away when all is written.
"""

import hashlib
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import PurePath

from strapline.ground.documents import Strict
from strapline.ground.files import model_at, unfinished_name, write_model
from strapline.keeping.as_made.notes import in_the_way
from strapline.keeping.receipts import Order, Places, receipt_path

FOLDER = ".under_way"


class Job(Strict):
    """The names of a job's outputs, see `Places`."""

    outputs: tuple[str, ...]


@contextmanager
def under_way(order: Order) -> Iterator[None]:
    """Hold the job's note while it is at work; what fails is for Snakemake to clear away.

    The note stays where a raw file changed meanwhile: nothing else would tell the next run that
    what was made is of neither the old nor, for sure, the new one.
    """
    job = Job(outputs=tuple(order.places.name_of(path) for path in order.outputs))
    folder = order.places.results / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    note = folder / f"{hashlib.sha256(job.outputs[0].encode()).hexdigest()[:16]}.json"
    write_model(note, job)
    try:
        yield
    finally:
        if order.raw_unchanged():
            note.unlink(missing_ok=True)


def clear_half_done(places: Places) -> None:
    """Remove the outputs of jobs that a killed run left under way, with their receipts."""
    folder = places.results / FOLDER
    for note in [] if folder.is_symlink() else sorted(folder.glob("*")):
        # None where the run was killed while writing the note: the job had not begun.
        job = model_at(note, Job)
        for name in job.outputs if job else ():
            _remove(places, name)
        note.unlink(missing_ok=True)


def _remove(places: Places, name: str) -> None:
    """What lies behind a link is not removed; what a job did not leave is moved aside later."""
    for path in (places.path_of(name), receipt_path(places, name)):
        own = places.name_of(path)
        is_result = own.startswith("results/") and ".." not in PurePath(own).parts
        if not is_result or path.is_symlink() or in_the_way(str(places.results), [own]):
            continue
        if path.is_dir():
            shutil.rmtree(path)
        for file in (path, unfinished_name(path)):
            file.unlink(missing_ok=True)
