"""How the figures came about, for the page that says so: formulas, settings, versions."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from strapline.ground.settings import Criteria, Tolerance
from strapline.method.episodes import kinds
from strapline.method.metrics import registry
from strapline.method.metrics.statistics import STATISTICS


@dataclass(frozen=True)
class Method:
    """How a metric of METRICS, or a statistic of FINDINGS, is reckoned. title: what the session
    pages call it, else empty."""

    name: str
    title: str
    how: str
    source: str
    interval: str


@dataclass(frozen=True)
class Fault:
    """A kind of episode: by what it is told, and by which settings."""

    name: str
    how: str
    settings: str


@dataclass(frozen=True)
class Setting:
    name: str
    value: str
    meaning: str


def of_a_session(tolerance: Tolerance) -> list[Method]:
    """Every metric."""
    bounds = tolerance.beats, tolerance.percent
    return [
        Method(m.key, m.titled(tolerance), m.reckoned(*bounds), m.source, m.interval.words)
        for m in registry.METRICS
    ]


def across_sessions(criteria: Criteria) -> list[Method]:
    """Every statistic."""
    bounds = criteria.model_dump()
    return [
        Method(name, "", each.formula.format(**bounds), each.source, each.interval)
        for name, each in STATISTICS.items()
    ]


def faults_looked_for() -> list[Fault]:
    """In the order in which they are believed."""
    return [Fault(kind.name, kind.how, ", ".join(kind.settings)) for kind in kinds.KINDS]


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
