"""What is wrong with the machine rather than with an export or with Strapline, in a sentence."""

import errno
import resource
import tempfile
from pathlib import Path

from strapline.running.typed import again

SENTENCES = {
    errno.ENOSPC: "The disk is full. Free some space.",
    errno.EDQUOT: "Your share of the disk is used up. Free some space.",
    errno.EROFS: "The folder is read-only. Choose another, or make it writable.",
    errno.EACCES: "You may not read or write there. Choose another folder, or ask for permission.",
    errno.EPERM: "You may not read or write there. Choose another folder, or ask for permission.",
    errno.EIO: "The disk could not be read or written. It may be failing: copy what you need.",
}

# What limits the memory a program may ask for; more than the second is no limit; bytes written
# to try a disk.
_OF_MEMORY = (resource.RLIMIT_AS, resource.RLIMIT_DATA)
_NO_LIMIT = 2**62
_TRIED = 2**16


class MachineTrouble(RuntimeError):
    """The tester can mend it; no defect of Strapline."""


def told(error: OSError, then: str = "") -> MachineTrouble | None:
    """The sentence for an error of the machine, with its file, and what to do `then`; None for
    any other error."""
    sentence = SENTENCES.get(error.errno or 0)
    if sentence is None:
        return None
    place = f" ({error.filename})" if error.filename else ""
    return MachineTrouble(f"{sentence} {then or _again()}{place}")


def _again() -> str:
    return f"Nothing is left half written; type `{again()}` again after that."


def died(stage: str) -> MachineTrouble:
    """The sentence for a stage whose worker died twice."""
    most = min(resource.getrlimit(limit)[0] % 2**64 for limit in _OF_MEMORY)
    if most < _NO_LIMIT:
        remedy = (
            f"A limit of {most / 2**30:.1f} GiB is set on the memory that a program may ask for, "
            "and this is too little: type `ulimit -v unlimited; ulimit -d unlimited`, and then "
            "`snakemake`."
        )
    else:
        remedy = (
            "Perhaps there is too little memory: close other programs, or type "
            "`snakemake --cores 1`."
        )
    return MachineTrouble(f"The worker for the stage {stage} died twice. {remedy}")


def trouble_in(folder: Path) -> MachineTrouble | None:
    """What is wrong with writing in a folder, found out by trying."""
    try:
        with tempfile.TemporaryFile(dir=folder) as file:
            file.write(bytes(_TRIED))
            file.flush()
    except OSError as error:
        return told(OSError(error.errno, error.strerror, str(folder)))
    return None
