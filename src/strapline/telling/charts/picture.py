"""What a picture shows, without how: its words, its data, and the figures it is drawn by."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from strapline.ground.files import write_text

# What a picture's file ends in.
SOURCE = ".json"

Rows = Sequence[Mapping[str, Any]]


@dataclass(frozen=True)
class Content:
    """What a picture shows.

    subtitle: how to read it. datasets: each its rows by column, which may be of unequal length:
    rows beyond the end of one have nothing in it. values: the parameters of its drawing.
    """

    subtitle: str
    datasets: Mapping[str, Mapping[str, Sequence[Any]]]
    values: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Picture:
    """`content`: None where there is nothing to show, and `alt` says so."""

    title: str
    alt: str
    content: Content | None

    @property
    def source(self) -> str:
        """All of it as JSON."""
        return json.dumps(self, default=vars, ensure_ascii=False, separators=(",", ":")) + "\n"


def by_column(*parts: Rows) -> dict[str, list[Any]]:
    """Rows, each part with fields of its own, each field once; first those that few rows have."""
    found: dict[str, list[Any]] = {}
    done = 0
    for rows in parts:
        for name in rows[0] if rows else ():
            column = found.setdefault(name, [])
            column += [None] * (done - len(column)) + [row[name] for row in rows]
        done += len(rows)
    return found


def by_row(columns: Mapping[str, Sequence[Any]]) -> list[dict[str, Any]]:
    """Of `by_column`, the rows again."""
    length = max(map(len, columns.values()), default=0)
    return [
        {name: column[row] for name, column in columns.items() if row < len(column)}
        for row in range(length)
    ]


def save_all(pictures: Mapping[str, Picture], folder: Path) -> None:
    """Write each picture as `folder`/<name>.json."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, picture in pictures.items():
        write_text(folder / f"{name}{SOURCE}", picture.source)


def read_all(folder: Path) -> dict[str, Picture]:
    """The pictures of a folder as `save_all` left it, in order of name."""
    found = {}
    for path in sorted(folder.glob(f"*{SOURCE}")):
        own = json.loads(path.read_text("utf-8"))
        content = own["content"] and Content(**own["content"])
        found[path.name.removesuffix(SOURCE)] = Picture(own["title"], own["alt"], content)
    return found
