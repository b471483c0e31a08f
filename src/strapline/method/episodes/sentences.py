"""What there is to say of a device in one session, in plain sentences with a number in each."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.vocabulary import Fault
from strapline.ground.words import clock as clock_of
from strapline.ground.words import lasting, listed, share
from strapline.method.episodes import kinds
from strapline.method.episodes.course_sentences import course_sentences, late_sentence
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.event_sentences import (
    maximum_sentence,
    rest_sentences,
    spike_sentences,
)
from strapline.method.episodes.headline import in_short_title, in_title, when
from strapline.method.episodes.lead import ground, late, late_aloud, lead, lead_aloud, off
from strapline.method.episodes.not_compared import left_out
from strapline.method.episodes.peaks import REACHED_WITHIN_BPM
from strapline.method.episodes.spoken import in_breaths, in_sentences, spoken
from strapline.method.episodes.told import Told
from strapline.method.signal.response import LOCK_HOLD_S

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision

# Of a text to be read aloud: less than a minute's.
MOST_WORDS = 110
AT_ONCE_S = 5


def sentences(
    label: str, course: pd.Series, found: pd.DataFrame, clock: ClockDecision | None
) -> dict[str, list[str]]:
    """What there is to say of the device called `label`, by form under SENTENCES: from its row
    under COURSES, its rows under EPISODES, and what was decided of its clock.

    A picture's title, and a short one where that is too long; lines on how far off it was, on
    averages and maxima, and whatever explains them; the course in order of time; findings on the
    whole; asides on what is no fault and what could not be looked for; and a text to be read aloud.
    None says what another does, but for that.
    """
    told = Told.of(course, found)
    left, also_left = left_out(course)
    return {
        "title": [f"{label} {in_title(told)}"],
        "short_title": [f"{label} {in_short_title(told)}"],
        "line": [
            off(label, course, clock),
            *late(course, clock),
            lead(course),
            *ground(course),
            *left,
        ],
        "course": [
            *course_sentences(told),
            *spike_sentences(told),
            *maximum_sentence(told),
            *late_sentence(told),
        ],
        "finding": [
            *rest_sentences(told),
            *_account(label, course, told.spans),
            *_lock(told),
            *(_longest(course) if told.spans else ()),
            *_peaks(course),
        ],
        "aside": [*also_left, *_asides(course)],
        "aloud": [" ".join(within(brief_aloud(label, course, found, clock), MOST_WORDS))],
    }


def brief(
    label: str, course: pd.Series, found: pd.DataFrame, clock: ClockDecision | None
) -> tuple[str, ...]:
    """Those of its sentences that say most to who is told no more, what weighs most first."""
    told = Told.of(course, found)
    return (
        off(label, course, clock),
        *when(told, bool(late_aloud(clock))),
        lead(course),
        *late(course, clock),
        *left_out(course)[0],
        *_account(label, course, told.spans),
        *late_sentence(told),
    )


def brief_aloud(
    label: str, course: pd.Series, found: pd.DataFrame, clock: ClockDecision | None
) -> tuple[str, ...]:
    """The same as one says them, each standing alone."""
    told = Told.of(course, found)
    return (
        in_breaths(off(label, course, clock)),
        *map(in_breaths, when(told, bool(late_aloud(clock)))),
        *lead_aloud(course),
        *map(spoken, late_aloud(clock)),
        *map(in_breaths, left_out(course)[0]),
        *map(in_breaths, _account(label, course, told.spans)),
    )


def within(sentences: Sequence[str], most_words: int) -> Iterator[str]:
    """As many of them as there is room for."""
    left = most_words
    for sentence in sentences:
        if (words := len(sentence.split())) <= left:
            left -= words
            yield sentence


def _seconds(value: float) -> int | None:
    return None if pd.isna(value) else int(value)


def _account(label: str, course: pd.Series, episodes: Sequence[Episode]) -> Iterator[str]:
    total, aside = course["length_s"], course["not_compared_s"]
    left = f" and not compared for {share(aside / total)}" if aside else ""
    if episodes:
        on_track, wrong = (share(course[name] / total) for name in ("on_track_s", "episodes_s"))
        yield f"Of {lasting(total)}, {label} was on track for {on_track}, off it for {wrong}{left}."
    else:
        # That it was late is no fault.
        looked_for = len({*kinds.in_order()} - {Fault.SLOW_TO_FOLLOW, *untested(course)})
        whole = lasting(course["on_track_s"])
        yield f"No fault of {looked_for} kinds was found in the {whole} that could be compared."


def _lock(told: Told) -> Iterator[str]:
    first_lock_s = _seconds(told.course["first_lock_s"])
    if told.course["interval_s"] > LOCK_HOLD_S or told.mostly:
        return
    if first_lock_s is None:
        yield f"At no time did it hold the strap’s rate for {LOCK_HOLD_S} s on end."
    elif first_lock_s - told.began_s <= AT_ONCE_S:
        yield f"It found the strap’s rate at once and held it for {LOCK_HOLD_S} s and more."
    else:
        took = lasting(first_lock_s - told.began_s)
        yield f"It took {took} to find the strap’s rate and hold it for {LOCK_HOLD_S} s."


def _longest(course: pd.Series) -> Iterator[str]:
    start, end = _seconds(course["longest_start_s"]), _seconds(course["longest_end_s"])
    if start is not None and end is not None:
        yield (
            f"Its longest time on track was {lasting(end - start)}, from {clock_of(start)}, and "
            f"{course['longest_error_bpm']:.1f} bpm off on average."
        )


def untested(course: pd.Series) -> dict[str, str]:
    """Kinds that could not be looked for, key -> why."""
    told = course["not_testable"]
    return {} if pd.isna(told) else json.loads(told)


def _asides(course: pd.Series) -> Iterator[str]:
    """A sentence for each reason why a kind could not be looked for."""
    by_reason: dict[str, list[str]] = {}
    for key, why in untested(course).items():
        by_reason.setdefault(why, []).append(f"whether it {kinds.kind(key).did}")
    for why, deeds in by_reason.items():
        yield from in_sentences(f"Not tested, as {why}:", deeds, "Nor, for the same reason,")


def _peaks(course: pd.Series) -> Iterator[str]:
    names = ("peaks", "peaks_reached", "peaks_overshot")
    peaks, reached, over = (int(course[name]) for name in names)
    missed = {"fell short of": peaks - reached - over, "overshot": over}
    one_way = [did for did, count in missed.items() if count == peaks]
    whose = "the strap’s only peak" if peaks == 1 else f"all of the strap’s {peaks} peaks"
    if not peaks:
        return
    if one_way:
        yield f"It {one_way[0]} {whose} by more than {REACHED_WITHIN_BPM} bpm."
    elif reached == peaks:
        yield f"It reached {whose} to within {REACHED_WITHIN_BPM} bpm."
    else:
        others = [f"{did} {count}" for did, count in missed.items() if count]
        first = (
            f"reached {reached or 'none'} of the strap’s {peaks} peaks to within "
            f"{REACHED_WITHIN_BPM} bpm"
        )
        yield f"It {listed([first, *others])}."
