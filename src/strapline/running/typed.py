"""The command to type again, as every process knows it that one command led to, on any host."""

import os
import shlex
from collections.abc import Sequence

_NAME = "STRAPLINE_COMMAND"


def remember(words: Sequence[str]) -> None:
    """That these were typed after `snakemake`, unless this run was started by another."""
    os.environ.setdefault(_NAME, shlex.join(["snakemake", *words]))


def again() -> str:
    return os.environ.get(_NAME, "snakemake")
