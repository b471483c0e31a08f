"""Times in the future, where the clock was set back.

Snakemake goes by which file is the older, so what is made from one of the future would seem older
than it is, and Snakemake would refuse it.
"""

import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from strapline.keeping.receipts import FOLDER, Places, files_in, read_receipt

# What Snakemake leaves in a folder that is an output: its time is the folder's.
SNAKEMAKE_MARK = ".snakemake_timestamp"


def not_after(places: Places, now_ns: int) -> None:
    """Date back what Strapline made under the results, and only what is dated after `now_ns`.

    In their order, those files come to lie between the latest of all others and `now_ns`. What
    no receipt names is the tester's own, and stays as it is.
    """
    times = dict(_times(places.results))
    ahead = {path for path, time_ns in times.items() if time_ns > now_ns}
    if not ahead:
        return
    ours = ahead & _made(places)
    moments = sorted({times[path] for path in ours})
    before = max((t for path, t in times.items() if path not in ahead), default=0)
    step = (now_ns - before) // (len(moments) + 1)
    dated = {time_ns: before + step * number for number, time_ns in enumerate(moments, 1)}
    for path in ours:
        with suppress(FileNotFoundError):
            os.utime(path, ns=(dated[times[path]],) * 2, follow_symlinks=False)


def _made(places: Places) -> set[str]:
    """Receipts, what they name as made, and Snakemake's marks in folders that they name."""
    made = set()
    for path in files_in(places.results / FOLDER):
        receipt = read_receipt(path)
        if receipt is not None:
            outputs = [places.path_of(name) for name in receipt.outputs]
            first = places.results / path.relative_to(places.results / FOLDER).with_suffix("")
            folders = {*(output.parent for output in outputs), first}
            marks = [folder / SNAKEMAKE_MARK for folder in folders]
            made |= {str(file) for file in (path, *outputs, *marks)}
    return made


def _times(folder: str | Path) -> Iterator[tuple[str, int]]:
    """Every file below with its time; one that goes meanwhile is left out, for the last worker of
    a killed run may be at its last job."""
    with suppress(FileNotFoundError, PermissionError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir(follow_symlinks=False):
                yield from _times(entry.path)
            else:
                with suppress(FileNotFoundError):
                    yield entry.path, entry.stat(follow_symlinks=False).st_mtime_ns
