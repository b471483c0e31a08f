"""Chance that is the same everywhere, and spans of seconds in which something goes wrong by it."""

import hashlib
from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

Flags = npt.NDArray[np.bool_]
Span = tuple[int, int]

SHORTEST_S = 4
APART_S = 20


def chance_spans(
    allowed: Flags, per_hour: float, mean_s: float, chance: np.random.Generator
) -> tuple[Span, ...]:
    """Spans (start, end) in s that start at an `allowed` second, Poisson in number.

    Lengths are uniform between half and one and a half of `mean_s`, but end where `allowed`
    does. `per_hour` counts hours of allowed time; spans too close or too short are left out.
    """
    seconds = np.flatnonzero(allowed)
    number = chance.poisson(per_hour * len(seconds) / 3600)
    starts = np.sort(chance.choice(seconds, number)) if number else np.array([], dtype=np.int64)
    lengths = chance.uniform(0.5, 1.5, number) * mean_s
    forbidden = np.append(np.flatnonzero(~allowed), len(allowed))
    spans: list[Span] = []
    for start, length in zip(starts.tolist(), lengths.tolist(), strict=True):
        limit = int(forbidden[np.searchsorted(forbidden, start)])
        end = min(start + round(length), limit)
        if end - start >= SHORTEST_S and (not spans or start >= spans[-1][1] + APART_S):
            spans.append((start, end))
    return tuple(spans)


def within(spans: Iterable[Span], duration_s: int) -> Flags:
    """Whether each second lies in one of the spans."""
    flags = np.zeros(duration_s, dtype=np.bool_)
    for start, end in spans:
        flags[start:end] = True
    return flags


def spans_of(flags: Flags) -> tuple[Span, ...]:
    """The spans (start, end) in which `flags` holds."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]])))
    return tuple(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def generator(*names: str) -> np.random.Generator:
    """A generator seeded by `names`, such as session, device and purpose.

    It depends on nothing else, so files come out equal in any order and any process.
    """
    digest = hashlib.sha256("/".join(names).encode()).digest()
    return np.random.Generator(np.random.PCG64(int.from_bytes(digest[:16], "big")))
