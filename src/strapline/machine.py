"""What is wrong with the machine rather than with an export or with Strapline, in a sentence."""

import errno

AGAIN = "Nothing is left half written; type `snakemake` again after that."

SENTENCES = {
    errno.ENOSPC: "The disk is full. Free some space.",
    errno.EDQUOT: "Your share of the disk is used up. Free some space.",
    errno.EROFS: "The folder is read-only. Choose another, or make it writable.",
    errno.EACCES: "You may not write there. Choose another folder, or ask for permission.",
    errno.EPERM: "You may not write there. Choose another folder, or ask for permission.",
    errno.EIO: "The disk could not be read or written. It may be failing: copy what you need.",
}


class MachineTrouble(RuntimeError):
    """The tester can mend it; no defect of Strapline."""


def told(error: OSError) -> MachineTrouble | None:
    """The sentence for an error of the machine, with its file; None for any other."""
    sentence = SENTENCES.get(error.errno or 0)
    if sentence is None:
        return None
    place = f" ({error.filename})" if error.filename else ""
    return MachineTrouble(f"{sentence} {AGAIN}{place}")
