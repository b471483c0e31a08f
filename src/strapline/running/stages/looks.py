"""Looks: what all pages share, made once: style, script, letters, and what draws pictures."""

from collections.abc import Sequence
from pathlib import Path

from strapline.ground.files import write_bytes
from strapline.telling.report.looks import content


def run(*, files: Sequence[str]) -> None:
    """`files`: those of LOOKS, each under its own name."""
    for file in files:
        write_bytes(file, content(Path(file).name))
