"""The sessions of the next weeks in their order, and what each buys beside those before it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from strapline.method.planning.cells import Cell
from strapline.method.planning.schedule import Outing

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Plan


@dataclass(frozen=True)
class Prospect:
    """A device at an activity with one session more: how many there are `sessions` then, and half
    its interval before and after, NaN where there is none. `tends`: there are first enough to say
    what it tends to do; `precise`: it is first known as well as wanted; `is_known`: it was so
    before."""

    cell: Cell
    sessions: int
    before: float
    half_width: float
    tends: bool
    precise: bool
    is_known: bool

    @property
    def narrows(self) -> float:
        """By how many bpm the interval becomes narrower, on either side, as long as that is
        wanted; 0 where there is none."""
        by = self.before - self.half_width
        return 0.0 if math.isnan(by) or self.is_known else by


@dataclass(frozen=True)
class Step:
    """A session to come, and what it buys."""

    outing: Outing
    prospects: tuple[Prospect, ...]

    @property
    def worth(self) -> tuple[float, ...]:
        """What it settles, how much more closely it makes things known, and how many it brings
        nearer to a first statement."""
        return (
            sum(p.tends + p.precise for p in self.prospects),
            sum(p.narrows for p in self.prospects),
            sum(math.isnan(p.half_width) for p in self.prospects),
        )


@dataclass(frozen=True)
class Buying:
    """What sessions buy, by each device at each activity as it stands."""

    cells: Mapping[tuple[str, str], Cell]
    plan: Plan
    claims: Claims

    def in_order(self, outings: Sequence[Outing], is_given: bool) -> Iterator[Step]:
        """These sessions, the most useful first, given those before; each activity's in their own
        order, by which wrists are even, and all of them where the order `is_given`."""
        left, more = list(outings), Counter[tuple[str, str]]()
        while left:
            firsts: dict[str, Outing] = {}
            for outing in left[:1] if is_given else left:
                firsts.setdefault(outing.activity, outing)
            best = max((self._step(each, more) for each in firsts.values()), key=lambda s: s.worth)
            yield best
            more.update((device, best.outing.activity) for device in best.outing.worn)
            left.remove(best.outing)

    def _step(self, outing: Outing, more: Mapping[tuple[str, str], int]) -> Step:
        keys = [(device, outing.activity) for device in outing.worn]
        own = (self._prospect(self.cells[key], more[key]) for key in keys if key in self.cells)
        return Step(outing, tuple(own))

    def _prospect(self, cell: Cell, more: int) -> Prospect:
        before = cell.half_width_with(more) if more else cell.half_width
        after, wanted = cell.half_width_with(more + 1), self.plan.half_width_bpm
        sessions = cell.sessions + more + 1
        return Prospect(
            cell,
            sessions,
            before,
            after,
            tends=sessions == self.claims.tends.fewest_sessions,
            precise=after <= wanted and not before <= wanted,
            is_known=before <= wanted,
        )
