"""Who wears what on which wrist, at which activity, in which order.

Two devices a session, one on each wrist, and beside them what is worn elsewhere. Every device for
a wrist is to be on each equally often at each activity, and pairs are to meet equally often. Where
the tester states a week, activities come as they do there; else they follow the rows of a Williams
design, a row a wearer, so that none always comes after the same other. What has been recorded
counts. Ties are broken by the order of the bench, never by lot, so the same archive gives the
same schedule.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from strapline.ground.vocabulary import Placement

if TYPE_CHECKING:
    from strapline.method.planning.wants import Wants


@dataclass(frozen=True)
class Outing:
    """A session, recorded or to come: its devices by wrist, None where a wrist stays bare, and
    those worn elsewhere, each with its place."""

    activity: str
    wearer: str
    left: str | None
    right: str | None
    elsewhere: tuple[tuple[str, str], ...] = ()

    @property
    def on_wrists(self) -> tuple[str, ...]:
        return tuple(device for device in (self.left, self.right) if device is not None)

    @property
    def worn(self) -> tuple[str, ...]:
        return *self.on_wrists, *(device for device, _ in self.elsewhere)


Cell = tuple[str, str]
# Of a device, its change to left minus right.
SIDES = (1, -1)


@dataclass
class _Tally:
    """What has been worn so far, recorded and planned; wrists as left minus right."""

    need: Counter[Cell] = field(default_factory=Counter)
    wrists: Counter[tuple[str, ...]] = field(default_factory=Counter)
    pairs: Counter[tuple[str, frozenset[str]]] = field(default_factory=Counter)
    sessions: Counter[str] = field(default_factory=Counter)

    def add(self, outing: Outing) -> None:
        self.sessions[outing.wearer] += 1
        self.pairs[outing.activity, frozenset(outing.on_wrists)] += 1
        for device in outing.worn:
            self.need[device, outing.activity] -= 1
        for side, step in zip((outing.left, outing.right), SIDES, strict=True):
            for key in _views(side, outing.activity, outing.wearer) if side else ():
                self.wrists[key] += step

    def unevenness(self, device: str, step: int, activity: str, wearer: str) -> tuple[int, ...]:
        """By how much wrists become less even, view by view: what the square of left - right
        changes by."""
        keys = _views(device, activity, wearer)
        return tuple((now + step) ** 2 - now**2 for now in map(self.wrists.__getitem__, keys))


def _views(device: str, activity: str, wearer: str) -> list[tuple[str, ...]]:
    """At this activity; over all of them; of this wearer."""
    return [(device, "at", activity), (device,), (device, "on", wearer)]


def schedule(
    need: Mapping[Cell, int], recorded: Sequence[Outing], wanted: Wants
) -> Iterator[Outing]:
    """Sessions until no device needs one at any activity; `need` is by device and activity.

    A device that needs none any more is worn beside one that does. With one device the other
    wrist stays bare. Without wearers nobody is named ('').
    """
    tally = _Tally()
    for outing in recorded:
        tally.add(outing)
    tally.need = Counter(need)
    people = list(wanted.wearers) or [""]
    first = len(recorded) // len(wanted.activities) if wanted.activities else 0
    rows = _rounds(wanted)
    can_be = [cell for cell in need if any(cell[1] in row for row in rows)]
    for number in itertools.count(first):
        if not any(tally.need[cell] > 0 for cell in can_be):
            break
        wearer = min(people, key=lambda one: (tally.sessions[one], people.index(one)))
        for activity in rows[number % len(rows)]:
            if any(tally.need[device, activity] > 0 for device in wanted.devices):
                outing = _next(tally, wanted, activity, wearer)
                tally.add(outing)
                yield outing


def _rounds(wanted: Wants) -> list[Sequence[str]]:
    """Activities in their order, in turn; one that the stated week lacks is never planned."""
    if wanted.week:
        return [wanted.week]
    rows = williams(len(wanted.activities))
    return [[wanted.activities[place] for place in row] for row in rows]


def _next(tally: _Tally, wanted: Wants, activity: str, wearer: str) -> Outing:
    left, right = _pair(tally, wanted.on_wrists, activity, wearer)
    return Outing(activity, wearer, left, right, _elsewhere(tally, wanted, activity))


def _pair(
    tally: _Tally, devices: Sequence[str], activity: str, wearer: str
) -> tuple[str | None, str | None]:
    """What serves two in need, then evens out pairs, then wrists."""
    if not devices:
        return None, None
    needs = {device: max(tally.need[device, activity], 0) for device in devices}
    sides = {
        (device, step): tally.unevenness(device, step, activity, wearer)
        for device in devices
        for step in SIDES
    }
    if len(devices) == 1:
        alone = devices[0]
        on_left = sides[alone, 1] <= sides[alone, -1]
        return (alone, None) if on_left else (None, alone)

    def rank(pair: tuple[str, str]) -> tuple[int, ...]:
        left, right = pair
        at, over, of = map(sum, zip(sides[left, 1], sides[right, -1], strict=True))
        in_need = (needs[left] > 0) + (needs[right] > 0)
        met = tally.pairs[activity, frozenset(pair)]
        return -in_need, met, at, -needs[left] - needs[right], over, of

    return min(itertools.permutations(devices, 2), key=rank)


def _elsewhere(tally: _Tally, wanted: Wants, activity: str) -> tuple[tuple[str, str], ...]:
    """Each at its usual place, or at another free one; who needs most chooses first."""
    found: list[tuple[str, str]] = []
    for device in sorted(wanted.elsewhere, key=lambda one: -tally.need[one, activity]):
        taken = {place for _, place in found} - {Placement.OTHER}
        free = [place for place in wanted.elsewhere[device] if place not in taken]
        found += [(device, place) for place in free[:1]]
    return tuple(sorted(found, key=lambda each: wanted.devices.index(each[0])))


def williams(things: int) -> list[list[int]]:
    """Rows of a design balanced for carry-over: the numbers 0 to things - 1, each once a row.

    Over all rows each number stands at each place equally often, and comes directly after each
    other number equally often: once, in as many rows as things, for an even number; twice, in
    twice as many, for an odd one. Williams 1949, Aust J Sci Res A 2:149-168 (construction from
    memory: 0, 1, n - 1, 2, n - 2, … and its shifts; for odd n with the mirror image).
    """
    if things < 1:
        return []
    first = [0] + [(step + 1) // 2 if step % 2 else things - step // 2 for step in range(1, things)]
    square = [[(number + shift) % things for number in first] for shift in range(things)]
    if things % 2 == 0 or things == 1:
        return square
    return square + [row[::-1] for row in square]
