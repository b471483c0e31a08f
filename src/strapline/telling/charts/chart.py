"""What a picture is, before it is drawn: the entry that makes it one of ours. How it is drawn
stands under its name in `telling/drawings`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, Literal, Protocol, TypeVar

from strapline.ground.words import plain
from strapline.telling.charts.picture import Content, Picture


class Drawable(Protocol):
    """A record of tables that pictures are drawn from."""

    def headed(self, title: str) -> str:
        """A title with what it is about."""


Tables = TypeVar("Tables", bound=Drawable)


@dataclass(frozen=True)
class Chart(Generic[Tables]):
    """A picture of a session, of the archive or of a device in it.

    name: of its files. section: where on the page it stands, as the page's template has it; told:
    whether the text there says what its caption would. needs: the fields of the record that it
    draws on, besides what every record has. question: its title where it has no finding. finding:
    the title that says what is found, empty where that is not to be said in a line, or, as text,
    why there is none. content: what it shows, or None where that is nothing. published: whether it
    is drawn to be published as well.
    """

    name: str
    about: Literal["session", "archive", "device"]
    section: str
    needs: tuple[str, ...]
    question: str
    finding: Callable[[Tables], str] | str
    alt: Callable[[Tables], str]
    content: Callable[[Tables, Sequence[str]], Content | None]
    told: bool = False
    published: bool = True

    def title(self, tables: Tables) -> str:
        """What is found; where that is not to be said in a line, what is asked."""
        said = "" if isinstance(self.finding, str) else self.finding(tables)
        return tables.headed(said or self.question)

    def of(self, tables: Tables, bench: Sequence[str]) -> Picture:
        """The picture of what the tables hold; devices of `bench` keep their colour from one
        picture to another."""
        return Picture(
            plain(self.title(tables)), plain(self.alt(tables)), self.content(tables, bench)
        )


def pictures_of(
    charts: Sequence[Chart[Tables]], tables: Tables, bench: Sequence[str]
) -> dict[str, Picture]:
    """Each of the charts by name."""
    return {chart.name: chart.of(tables, bench) for chart in charts}


def needs_of(*charts: Chart[Any]) -> set[str]:
    """The fields that any of the charts draws on."""
    return {need for chart in charts for need in chart.needs}


# Findings of more devices are no title any more.
MOST_TITLED = 2


def of_few(told: Sequence[str]) -> str:
    """What is found of each device, where that is a title."""
    return "; ".join(told) if len(told) <= MOST_TITLED else ""


# The view that pictures show: clocks by evidence, and what a device is late by is its error.
CLOCKS = "delay included"
