"""What is said of files, in the same words whatever the format, and in none of theirs: a heading
may hold a person's name."""

from collections.abc import Iterable, Iterator

from strapline.ground.words import things

NO_TIMES = "The file states no times Strapline can read; export the session again with times."

_PLACES = ("first", "second", "third", "fourth", "fifth")


def counted(count: int, noun: str) -> str:
    return f"{count:,} {things(count, noun)}"


def placed(place: int) -> str:
    """'first', 'second', ... for a place from 0."""
    return _PLACES[place] if place < len(_PLACES) else f"number {place + 1}"


def broken_off(is_broken: bool, count: int) -> str | None:
    """Nothing of a file that is whole."""
    if not is_broken:
        return None
    return f"The file breaks off after {counted(count, 'record')}; what came before is used."


def nothing_recorded(is_broken: bool) -> str:
    if is_broken:
        return "The file is broken off or damaged before its first record; export it again."
    return "The file holds no records; export the session itself, not a summary or settings."


def before_the_date(times: Iterable[float], count: int) -> Iterator[str]:
    """A word on `times` that give no date, NaN where none is, in a file of `count` records."""
    known = sum(time == time for time in times)
    if known:
        yield (
            f"{known} of the file's {counted(count, 'record')} count from when the device was "
            "switched on, for its clock was not set by then; they are not used."
        )
