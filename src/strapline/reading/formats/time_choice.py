"""Which of several columns of times is the time of the rows."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from strapline.ground.vocabulary import FileClock
from strapline.ground.words import listed
from strapline.reading.formats.columns import Reals
from strapline.reading.formats.export import UnreadableExport
from strapline.reading.formats.sentences import counted, placed

Course = Literal["each later", "later", "to and fro", "still"]

_WORTH: dict[FileClock, int] = {FileClock.UTC: 0, FileClock.LOCAL: 1, FileClock.ELAPSED: 2}
GOING_ON = ("each later", "later")
_COURSES: tuple[Course, ...] = ("each later", "later", "to and fro", "still")
# Clocks may be set back now and then.
_MOSTLY = 0.95
_SAID_OF = {"still": "stands still", "to and fro": "goes to and fro"}
# Fewer rows may well share a second.
_FEWEST = 4
# Moments to the minute, whose seconds another column tells, are at most so far from those.
_A_MINUTE_S = 60
# The rows of several sensors may stand one sensor after the other.
_MOST_RESTARTS = 5
# Time elapsed begins at 0, or after some laps.
_LATEST_START_S = 3600
# Rows that share a second are several sensors, or one that is told too often. Of each longer time
# there are mostly as many rows.
_SHORTEST_S, _FEWEST_ROWS, _MOSTLY_LIKE = 10, 3, 0.8


@dataclass(frozen=True)
class Times:
    """Milliseconds since 1970 or else seconds since the start, NaN where missing; what there is
    to say of them, and at which place among the columns of times they stand. `unit_s` is the unit
    that times elapsed are taken to be in, where the file does not state it; `are_of_day`: whether
    they count from some midnight."""

    clock: FileClock
    ms: Reals | None = None
    elapsed_s: Reals | None = None
    utc_offset_s: int | None = None
    said: tuple[str, ...] = ()
    place: int = 0
    unit_s: float | None = None
    are_of_day: bool = False

    @property
    def seconds(self) -> Reals | None:
        return self.elapsed_s if self.ms is None else self.ms / 1000

    @property
    def are_none(self) -> bool:
        return self.seconds is None

    @property
    def are_all_missing(self) -> bool:
        return self.seconds is None or bool(np.isnan(self.seconds).all())


NONE_STATED = Times(FileClock.ELAPSED)


def course(seconds: Reals | None) -> Course:
    """How times go on from row to row, from the first to the last or from the last to the first."""
    known = np.empty(0) if seconds is None else seconds[np.isfinite(seconds)]
    if known.size < _FEWEST:
        return "each later"
    steps = np.diff(known)
    steps = -steps if np.median(steps) < 0 else steps
    if not steps.any():
        return "still"
    if _restarts(known) > 1:
        return "to and fro"
    if np.mean(steps >= 0) < _MOSTLY:
        return "to and fro"
    return "each later" if np.mean(steps > 0) >= _MOSTLY else "later"


def _restarts(known: Reals) -> int:
    """How often times begin again: seconds alone do each minute, and a clock is set back once."""
    steps = np.diff(known)
    if not steps.size:
        return 0
    steps = -steps if np.median(steps) < 0 else steps
    return int((steps < -np.ptp(known) / 2).sum())


def chosen(found: Sequence[Times]) -> Times:
    """The best of the times found, with a word where it is not the first that would be looked at.

    Raises UnreadableExport where all stand still, or begin again and again.
    """
    courses = [course(times.seconds) for times in found]
    filled = [int(np.isfinite(_seconds(times)).sum()) for times in found]
    order = sorted(
        range(len(found)),
        key=lambda n: (
            filled[n] < max(filled) / 2,
            max(_COURSES.index(courses[n]), 1),
            _WORTH[found[n].clock],
            _COURSES.index(courses[n]),
            n,
        ),
    )
    best = order[0]
    times = found[best]
    if courses[best] == "still":
        raise UnreadableExport(
            f"All {counted(filled[best], 'row')} of the file have the "
            "same time, and nothing else in it tells when they were; export the session again with "
            "a time for each sample."
        )
    restarts = _restarts(_seconds(times)[np.isfinite(_seconds(times))])
    if times.clock == FileClock.ELAPSED and restarts > _MOST_RESTARTS:
        raise UnreadableExport(
            f"Its times begin again {restarts:,} times, as seconds without their minutes do; "
            "export the session again with times that go on from row to row."
        )
    if courses[best] == "later":
        finer = [
            n for n in order if courses[n] == "each later" and found[n].clock == FileClock.ELAPSED
        ]
        times = next((one for n in finer if (one := _refined(times, found[n]))), _spread(times))
    worse = [n for n in order if _COURSES.index(courses[n]) > 1]
    if best in worse or not worse:
        return times
    if started := _from_start(times, found):
        return started
    others = listed([f"the {placed(found[n].place)} {_SAID_OF[courses[n]]}" for n in sorted(worse)])
    said = (
        f"Its times are from the {placed(times.place)} of its columns of times, which rises with "
        f"the rows; {others}."
    )
    return replace(times, said=(*times.said, said))


def _spread(times: Times) -> Times:
    """Moments that rows share in like numbers, as where a file tells them to the minute only, with
    the rows of each spread over it evenly; others as they are."""
    if times.ms is None:
        return times
    seconds = times.ms / 1000
    known = np.isfinite(seconds)
    each, place, counts = np.unique(seconds[known], return_inverse=True, return_counts=True)
    if each.size < _FEWEST_ROWS or (np.diff(seconds[known]) < 0).any():
        return times
    long_s, many = float(np.median(np.diff(each))), int(np.median(counts))
    if long_s < _SHORTEST_S or many < _FEWEST_ROWS or np.mean(counts[1:-1] == many) < _MOSTLY_LIKE:
        return times
    row_of_time = np.arange(place.size) - np.searchsorted(place, place)
    # A recording begins within its first time, and ends within its last.
    row_of_time[place == 0] += max(many - int(counts[0]), 0)
    spaced = seconds.copy()
    spaced[known] = seconds[known] + np.minimum(row_of_time, many - 1) * long_s / many
    said = (
        f"Its times are told every {long_s:g} s only, and {many} rows share each; they are spread "
        "over it evenly."
    )
    return replace(times, ms=spaced * 1000, said=(*times.said, said))


def _from_start(times: Times, found: Sequence[Times]) -> Times | None:
    """Time elapsed from the moment that another column repeats in each row."""
    first_s = float(np.nanmin(_seconds(times)))
    still = (one for one in found if one.ms is not None and course(one.ms) == "still")
    start = next(still, None)
    if times.elapsed_s is None or start is None or start.ms is None or first_s > _LATEST_START_S:
        return None
    said = (
        f"The {placed(start.place)} of its columns of times stands still, and is taken for the "
        f"start from which the {placed(times.place)} counts."
    )
    ms = np.nanmin(start.ms) + times.elapsed_s * 1000
    return replace(start, ms=ms, said=(*times.said, said), place=times.place)


def _seconds(times: Times) -> Reals:
    return np.empty(0) if times.seconds is None else times.seconds


def _refined(coarse: Times, fine: Times) -> Times | None:
    """Moments to the minute, say, with the seconds that the time elapsed has; None where the two
    do not tell the same."""
    if coarse.ms is None or fine.elapsed_s is None:
        return None
    apart = coarse.ms / 1000 - fine.elapsed_s
    if not np.isfinite(apart).any() or np.nanmax(apart) - np.nanmin(apart) > _A_MINUTE_S:
        return None
    # What is cut to the minute comes early: the latest start is the nearest.
    ms = (fine.elapsed_s + np.nanmax(apart)) * 1000
    said = "Its moments repeat; the seconds between them are from its column of time elapsed."
    return replace(coarse, ms=ms, said=(*coarse.said, said))
