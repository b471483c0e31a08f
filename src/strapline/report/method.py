"""How the figures came about, for the page that says so: formulas, settings, versions."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from strapline.report.figures import FIGURES
from strapline.settings import Tolerance

METHODS = Path(__file__).parent / "methods.yaml"


@dataclass(frozen=True)
class Method:
    """How figures are reckoned. `names`: metrics of METRICS, or statistics of FINDINGS."""

    names: tuple[str, ...]
    how: str
    source: str


@dataclass(frozen=True)
class Setting:
    name: str
    value: str
    meaning: str


def methods() -> dict[str, tuple[Method, ...]]:
    """Those `of_a_session` and those `across_sessions`."""
    content = yaml.safe_load(METHODS.read_text("utf-8"))
    return {
        scope: tuple(Method(tuple(one["names"]), one["how"], one["source"]) for one in entries)
        for scope, entries in content.items()
    }


def titles(tolerance: Tolerance) -> dict[str, str]:
    """What the session pages call each metric."""
    return {figure.name: figure.titled(tolerance) for figure in FIGURES}


def settings_in_force(
    settings: Mapping[str, Any], meanings: Mapping[str, str]
) -> list[tuple[str, str, list[Setting]]]:
    """Section by section: its name, its meaning, and every setting in it.

    `settings` as nested mappings; `meanings` by dotted name, missing where nobody wrote one.
    """
    return [
        (
            section,
            meanings.get(section, ""),
            [
                Setting(name, _written(value), meanings.get(f"{section}.{name}", ""))
                for name, value in _flat(content)
            ],
        )
        for section, content in settings.items()
    ]


def _flat(content: Mapping[str, Any], within: str = "") -> Iterator[tuple[str, Any]]:
    for name, value in content.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{within}{name}.")
        else:
            yield f"{within}{name}", value


def _written(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return f"{value:g}" if isinstance(value, float) else str(value)
