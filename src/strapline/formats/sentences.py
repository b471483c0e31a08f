"""What is said of files, in the same words whatever the format."""

from collections.abc import Iterable
from itertools import islice

from strapline.formats.export import printable

NO_FORMAT = (
    "The file is not in a format Strapline reads (FIT, TCX, GPX, CSV with headings, JSON, or one "
    "RR interval a line); export the session again in one of them."
)

NO_TIMES = "The file states no times Strapline can read; export the session again with times."

_MOST_SHOWN = 160
_MOST_NAMES = 20


def counted(count: int, noun: str) -> str:
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"


def listed(names: Iterable[str], quote: str = "'") -> str:
    """Names that stand in a file, as many as a sentence bears."""
    shown = ", ".join(f"{quote}{printable(name)}{quote}" for name in islice(names, _MOST_NAMES))
    return shown if len(shown) <= _MOST_SHOWN else f"{shown[:_MOST_SHOWN]}…"


def broken_off(count: int) -> str:
    return f"The file breaks off after {counted(count, 'record')}; what came before is used."


def nothing_recorded(is_broken: bool) -> str:
    if is_broken:
        return "The file is broken off or damaged before its first record; export it again."
    return "The file holds no records; export the session itself, not a summary or settings."
