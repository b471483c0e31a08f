"""Pictures that are kept, so that a chart that says what it said before is not drawn again.

Snakemake removes what a job made before it runs the job anew. So each picture has a second name,
a hard link in a folder that no job declares, which takes no room. On a disk without such links
nothing is kept, and every picture is drawn.
"""

import hashlib
import os
import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import astuple
from importlib.metadata import version
from pathlib import Path

from strapline.ground.digest import sha256_of
from strapline.ground.files import write_text
from strapline.telling.charts.render import DRAWING, SOURCE, Specification, drawn

KEPT_NAME = re.compile(r"[0-9a-f]{32}-[0-9a-f]{64}")

LIBRARY = version("vl-convert-python")


def save_all(charts: Mapping[str, Specification], folder: Path, kept: Path, renderer: str) -> None:
    """As `render.save_all` does, but what is in `kept` is not drawn, and all of `charts` is there
    afterwards, and no other picture. `renderer` tells by which code a chart is drawn."""
    folder.mkdir(parents=True, exist_ok=True)
    used = set()
    for name, chart in charts.items():
        write_text(folder / f"{name}{SOURCE}", chart.source)
        picture, key = folder / f"{name}{DRAWING}", _key(chart, renderer)
        if not _put_back(key, kept, picture):
            write_text(picture, drawn(chart))
            _keep(key, kept, picture)
        used.add(_name(key, picture))
    with suppress(OSError):
        for old in kept.iterdir():
            if KEPT_NAME.fullmatch(old.name) and old.name not in used:
                old.unlink()


def _key(chart: Specification, renderer: str) -> str:
    """All that a picture depends on."""
    frame = map(str, astuple(chart.frame))
    parts = [LIBRARY, renderer, chart.title, chart.alt, *frame, chart.source]
    return hashlib.sha256("\0".join(parts).encode("utf-8", "replace")).hexdigest()[:32]


def _name(key: str, picture: Path) -> str:
    """What a picture is kept as; by its content too, for someone may have changed it since."""
    return f"{key}-{sha256_of(picture)}"


def _put_back(key: str, kept: Path, picture: Path) -> bool:
    for old in kept.glob(f"{key}-*"):
        with suppress(OSError):
            if old.name == _name(key, old):
                os.link(old, picture)
                return True
    return False


def _keep(key: str, kept: Path, picture: Path) -> None:
    with suppress(OSError):
        kept.mkdir(parents=True, exist_ok=True)
        os.link(picture, kept / _name(key, picture))
