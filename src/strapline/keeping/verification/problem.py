"""What a check found, and how it is told."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby

MOST_PLACES = 20


@dataclass(frozen=True, order=True)
class Problem:
    """A sentence on what is wrong, and where: a file by its name in receipts, or a part of it."""

    what: str
    where: str


@dataclass
class Outcome:
    """Problems, how many files and figures were looked at, what versions made them, by name and
    number, and, by stage, how many files an earlier version of Strapline or of a library made."""

    problems: list[Problem] = field(default_factory=list)
    files: int = 0
    figures: int = 0
    versions: set[tuple[str, str]] = field(default_factory=set)
    earlier: Counter[str] = field(default_factory=Counter)

    def add(self, where: str, what: str) -> None:
        self.problems.append(Problem(what, where))

    def include(self, other: "Outcome") -> None:
        self.problems += other.problems
        self.files += other.files
        self.figures += other.figures
        self.versions |= other.versions
        self.earlier += other.earlier


def told(problems: Iterable[Problem]) -> Iterator[str]:
    """Line by line: each sentence once, with the places that it is true of."""
    for what, same in groupby(sorted(set(problems)), key=lambda problem: problem.what):
        places = [problem.where for problem in same]
        yield what
        yield from (f"  {place}" for place in places[:MOST_PLACES])
        if len(places) > MOST_PLACES:
            yield f"  … and {len(places) - MOST_PLACES} more"
