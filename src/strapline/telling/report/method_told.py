"""All that is told of the method, once: for the page and for the same as Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from strapline.telling.report import method, method_checks
from strapline.telling.report.consequence_formulas import CONSEQUENCES
from strapline.telling.report.looks_read import READ_CAPTION, LookRead, looks_read
from strapline.telling.report.method_topics import SIGNS, Topic, topics
from strapline.telling.report.performance import (
    CEILING,
    PERFORMANCE_CAPTION,
    Measured,
    performance,
)

if TYPE_CHECKING:
    from strapline.ground.settings import Criteria, Tolerance


@dataclass(frozen=True)
class Formulas:
    """A table of formulas; `rows` with what each was checked against. `what` heads its first
    column."""

    what: str
    caption: str
    rows: Sequence[tuple[method.Method, str]]


@dataclass(frozen=True)
class MethodTold:
    topics: Sequence[Topic]
    tables: Sequence[Formulas]
    faults: Sequence[method.Fault]
    performance: Sequence[Measured]
    pictures: Sequence[LookRead]
    settings: Sequence[tuple[str, str, Sequence[method.Setting]]]

    signs = SIGNS
    of_performance = PERFORMANCE_CAPTION
    ceiling = CEILING
    of_pictures = READ_CAPTION


def method_told(
    settings: Mapping[str, Any],
    meanings: Mapping[str, str],
    tolerance: Tolerance,
    criteria: Criteria,
) -> MethodTold:
    """From all `settings` by section, and their `meanings` by dotted name."""
    return MethodTold(
        topics(settings),
        (
            Formulas(
                "Figure",
                "In one session. Seconds that follow one another are not independent: blocks of "
                "them are resampled.",
                _checked(method.of_a_session(tolerance), method_checks.IN_A_SESSION),
            ),
            Formulas(
                "Statistic",
                "Over sessions. The session is the unit.",
                _checked(method.across_sessions(criteria), method_checks.OVER_SESSIONS),
            ),
            Formulas(
                "Quantity",
                "What it would have meant. Sums are over the seconds that were compared, for strap "
                "and device alike. What the card’s body does not allow is left out.",
                _checked(CONSEQUENCES, method_checks.OF_CONSEQUENCES),
            ),
        ),
        method.faults_looked_for(),
        performance(),
        looks_read(),
        method.settings_in_force(settings, meanings),
    )


def markdown(told: MethodTold) -> str:
    """The page without its fingerprints: those change with every change of the code."""
    return "\n".join(_lines(told)) + "\n"


def _checked(
    rows: Iterable[method.Method], checks: Mapping[str, str]
) -> list[tuple[method.Method, str]]:
    return [(row, checks.get(row.name, method_checks.NOTHING)) for row in rows]


def _lines(told: MethodTold) -> Iterator[str]:
    yield from ("# Method", "", told.signs)
    for topic in told.topics:
        yield from ("", f"## {topic.title}", "", topic.text)
    yield from ("", "## How each figure is computed")
    for table in told.tables:
        yield from ("", table.caption, "")
        yield from _table(
            (table.what, "How", "Source", "Interval", "Checked against"),
            [
                (_name(row), row.how, row.source, row.interval, checked)
                for row, checked in table.rows
            ],
        )
    yield from ("", "## Which faults are looked for", "")
    yield from _table(
        ("Fault", "How it is recognised", "Settings"),
        [(fault.name, fault.how, fault.settings or "–") for fault in told.faults],
    )
    yield from _simulated(told)
    yield from _pictures(told)
    yield from ("", "## Settings in force", "")
    yield from _table(
        ("Setting", "Value", "What it means"),
        [
            (f"`{section}.{one.name}`", one.value or "–", one.meaning or meaning)
            for section, meaning, entries in told.settings
            for one in entries
        ],
    )


def _simulated(told: MethodTold) -> Iterator[str]:
    heading = "## How often the method is right in simulations"
    yield from ("", heading, "", told.of_performance)
    for measured in told.performance:
        yield from ("", f"{measured.what}, by {measured.command}:", "")
        yield from _table(
            ("Scenario", "Question", "Wanted", "Found", "Could be told in", "Draws"),
            [
                (one.scenario, one.question, one.wanted, one.found, one.told, one.draws)
                for one in measured.rows
            ],
        )
    yield from ("", told.ceiling)


def _pictures(told: MethodTold) -> Iterator[str]:
    limits = ("Average off by", "Highest off by", "All limits held in")
    yield from ("", "## How near pictures are read", "", told.of_pictures, "")
    yield from _table(
        ("Look", "Tester asked in", "Read", "Near", *limits),
        [
            (one.look, one.asked, one.read, one.near, one.average, one.highest, one.held)
            for one in told.pictures
        ],
    )


def _name(row: method.Method) -> str:
    return f"{row.title} (`{row.name}`)" if row.title else f"`{row.name}`"


def _table(heading: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    yield _row(heading)
    yield "|" + "---|" * len(heading)
    yield from map(_row, rows)


def _row(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cell.replace('|', '/') for cell in cells)} |"
