"""Spans of seconds: from flags to spans and back, with hysteresis and short gaps bridged."""

from collections.abc import Iterable
from itertools import pairwise

import numpy as np

Span = tuple[int, int]


def spans_of(flags: np.ndarray) -> list[Span]:
    """The spans (start, end exclusive) in which `flags`, shape (n,), holds."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]])))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def lies_in(inner: Span, outer: Span) -> bool:
    return outer[0] <= inner[0] and inner[1] <= outer[1]


def within(spans: Iterable[Span], length: int) -> np.ndarray:
    """Whether each of `length` seconds lies in one of `spans`."""
    flags = np.zeros(length, dtype=bool)
    for start, end in spans:
        flags[start:end] = True
    return flags


def bridged(flags: np.ndarray, longest: int) -> np.ndarray:
    """`flags` with gaps of at most `longest` seconds between two held spans held too."""
    spans = spans_of(flags)
    gaps = [(end, start) for (_, end), (start, _) in pairwise(spans) if start - end <= longest]
    held: np.ndarray = flags | within(gaps, flags.size)
    return held


def hysteresis(level: np.ndarray, enter: float, leave: float, bridge_s: int) -> list[Span]:
    """Spans in which `level` stays at or above `leave` and somewhere reaches `enter`.

    NaN is below everything; dips of at most `bridge_s` seconds do not end a span.
    """
    with np.errstate(invalid="ignore"):
        stays, enters = level >= leave, level >= enter
    return [(s, e) for s, e in spans_of(bridged(stays, bridge_s)) if enters[s:e].any()]


def longest_run(flags: np.ndarray) -> Span | None:
    """The longest span in which `flags` holds, the first of several; None where it never does."""
    return max(spans_of(flags), key=lambda span: span[1] - span[0], default=None)
