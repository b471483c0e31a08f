"""The jobs that are ready, in the order in which they are best done."""

from bisect import bisect_left, insort
from collections.abc import Callable, Iterable, Iterator, MutableSet
from typing import Any


class InOrder(MutableSet[Any]):
    """A set of jobs that gives those with the highest number first.

    Snakemake numbers jobs session by session, and those of the archive last. In its own set they
    lie as it happens, so that all sessions are begun before any is done. In this one the last
    session is done first, which is mostly the newest, and then the one before it: there is
    something to read at once, and what was done tells how long the rest takes.
    """

    def __init__(self, jobs: Iterable[Any], number: Callable[[Any], int]) -> None:
        self._number = number
        self._jobs = {number(job): job for job in jobs}
        self._numbers = sorted(self._jobs)

    def __contains__(self, job: object) -> bool:
        return self._jobs.get(self._number(job)) == job

    def __iter__(self) -> Iterator[Any]:
        return map(self._jobs.__getitem__, reversed(self._numbers))

    def __len__(self) -> int:
        return len(self._jobs)

    def add(self, job: Any) -> None:
        if job not in self:
            number = self._number(job)
            self._jobs[number] = job
            insort(self._numbers, number)

    def discard(self, job: Any) -> None:
        if job in self:
            number = self._number(job)
            del self._jobs[number]
            del self._numbers[bisect_left(self._numbers, number)]

    def update(self, jobs: Iterable[Any]) -> None:
        for job in jobs:
            self.add(job)
