"""What a chart is made into: a specification in Vega-Lite, without colours, with its data."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from strapline.ground.files import write_text
from strapline.telling.charts import theme

# What a chart's file ends in.
SOURCE = ".vl.json"


@dataclass(frozen=True)
class Specification:
    """A Vega-Lite specification with its title and its alternative text."""

    spec: dict[str, Any]
    title: str
    alt: str
    frame: theme.Frame = theme.WIDE

    @cached_property
    def source(self) -> str:
        """The specification as JSON."""
        return json.dumps(self.spec, ensure_ascii=False, separators=(",", ":")) + "\n"

    @property
    def subtitle(self) -> list[str]:
        """How to read it, line by line."""
        lines: list[str] = self.spec.get("title", {}).get("subtitle", [])
        return lines


def save_all(charts: Mapping[str, Specification], folder: Path) -> None:
    """Write each chart as `folder`/<name>.vl.json."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, chart in charts.items():
        write_text(folder / f"{name}{SOURCE}", chart.source)


def read_all(folder: Path) -> dict[str, Specification]:
    """The charts of a folder as `save_all` left it, in order of name."""
    found = {}
    for path in sorted(folder.glob(f"*{SOURCE}")):
        spec = json.loads(path.read_text("utf-8"))
        title = " ".join(spec["title"]["text"])
        found[path.name.removesuffix(SOURCE)] = Specification(spec, title, spec["description"])
    return found
