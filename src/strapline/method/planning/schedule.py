"""Who wears what on which wrist, at which activity, in which order.

Two devices a session, one on each wrist. Every device is to be on each wrist equally often at
each activity, pairs are to meet equally often, and activities follow the rows of a Williams
design, a row a wearer, so that none always comes after the same other. What has been recorded
counts. Ties are broken by the order of the bench, never by lot, so the same archive gives the
same schedule.
"""

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from strapline.method.planning.williams import williams


@dataclass(frozen=True)
class Outing:
    """A session, recorded or to come: its devices by wrist, None where a wrist stays bare."""

    activity: str
    wearer: str
    left: str | None
    right: str | None

    @property
    def worn(self) -> tuple[str, ...]:
        return tuple(device for device in (self.left, self.right) if device is not None)


Cell = tuple[str, str]

# So many sessions are years of work, and what has been recorded by then changes the rest.
MOST_AHEAD = 1000


@dataclass
class _Tally:
    """What has been worn so far, recorded and planned; wrists as left minus right."""

    need: Counter[Cell] = field(default_factory=Counter)
    wrists: Counter[tuple[str, ...]] = field(default_factory=Counter)
    pairs: Counter[tuple[str, frozenset[str]]] = field(default_factory=Counter)
    sessions: Counter[str] = field(default_factory=Counter)

    def add(self, outing: Outing) -> None:
        self.sessions[outing.wearer] += 1
        self.pairs[outing.activity, frozenset(outing.worn)] += 1
        for device, step in ((outing.left, 1), (outing.right, -1)):
            if device is None:
                continue
            self.need[device, outing.activity] -= 1
            for key in _views(device, outing):
                self.wrists[key] += step

    def unevenness(self, outing: Outing, view: int) -> int:
        """By how much wrists become less even: change of the sum of squares of left - right."""
        change = 0
        for device, step in ((outing.left, 1), (outing.right, -1)):
            if device is not None:
                now = self.wrists[_views(device, outing)[view]]
                change += (now + step) ** 2 - now**2
        return change


def _views(device: str, outing: Outing) -> list[tuple[str, ...]]:
    """At this activity; over all of them; of this wearer."""
    return [(device, "at", outing.activity), (device,), (device, "on", outing.wearer)]


def schedule(
    need: Mapping[Cell, int],
    recorded: Sequence[Outing],
    devices: Sequence[str],
    activities: Sequence[str],
    wearers: Sequence[str],
) -> list[Outing]:
    """Sessions until no device needs one at any activity, or MOST_AHEAD of them; `need` is by
    device and activity.

    A device that needs none any more is worn beside one that does. With one device the other
    wrist stays bare. Without `wearers` nobody is named ('').
    """
    tally = _Tally()
    for outing in recorded:
        tally.add(outing)
    tally.need = Counter(need)
    people = list(wearers) or [""]
    rows = williams(len(activities))
    first = len(recorded) // len(activities) if activities else 0
    planned: list[Outing] = []
    for number in itertools.count(first):
        if not any(tally.need[cell] > 0 for cell in itertools.product(devices, activities)):
            break
        wearer = min(people, key=lambda one: (tally.sessions[one], people.index(one)))
        for place in rows[number % len(rows)]:
            activity = activities[place]
            if len(planned) == MOST_AHEAD:
                return planned
            if any(tally.need[device, activity] > 0 for device in devices):
                planned.append(_next(tally, devices, activity, wearer))
                tally.add(planned[-1])
    return planned


def _next(tally: _Tally, devices: Sequence[str], activity: str, wearer: str) -> Outing:
    """The session that serves two in need, then evens out pairs, then wrists."""

    def rank(outing: Outing) -> tuple[int, ...]:
        needs = [max(tally.need[device, activity], 0) for device in outing.worn]
        return (
            -sum(need > 0 for need in needs),
            tally.pairs[activity, frozenset(outing.worn)],
            tally.unevenness(outing, 0),
            -sum(needs),
            *(tally.unevenness(outing, view) for view in (1, 2)),
        )

    return min(_possible(devices, activity, wearer), key=rank)


def _possible(devices: Sequence[str], activity: str, wearer: str) -> Iterator[Outing]:
    if len(devices) == 1:
        yield Outing(activity, wearer, devices[0], None)
        yield Outing(activity, wearer, None, devices[0])
    for left, right in itertools.permutations(devices, 2):
        yield Outing(activity, wearer, left, right)
