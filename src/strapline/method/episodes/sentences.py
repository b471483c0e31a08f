"""What there is to say of a device in one session, in plain sentences with a number in each."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
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
from strapline.method.episodes.headline import in_short
from strapline.method.episodes.lead import aloud, error_and_delay, ground, lead
from strapline.method.episodes.not_compared import left_out
from strapline.method.episodes.peaks import REACHED_WITHIN_BPM
from strapline.method.episodes.spoken import fits, in_breaths, in_sentences, is_for_the_eye, spoken
from strapline.method.episodes.told import Told
from strapline.method.signal.response import LOCK_HOLD_S

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision

# Read aloud at about 150 words a minute, which is common practice, no source.
MOST_WORDS = 150
AT_ONCE_S = 5
# How a sentence begins that says nothing without the one before.
GOES_ON = (
    "And again",
    "From then on",
    "In that time",
    "It also",
    "It did so again",
    "Nor",
    "That spike",
    "The spike at",
    "Then ",
    "Until ",
)


@dataclass(frozen=True)
class Sentences:
    """`title` as a picture's has it; `lines` on averages and maxima, and whatever explains them;
    `course` in order of time; `findings` on the whole; `asides` on what is no fault and what could
    not be looked for; `aloud`, a text that takes a minute to read. None says what another does,
    but for the text to be read aloud."""

    title: str
    lines: tuple[str, ...]
    course: tuple[str, ...]
    findings: tuple[str, ...]
    asides: tuple[str, ...]
    aloud: str


def sentences(
    label: str, course: pd.Series, found: pd.DataFrame, clock: ClockDecision | None = None
) -> Sentences:
    """The findings on the device called `label`: its row under COURSES, its rows under EPISODES,
    and what was decided of its clock."""
    told = Told.of(course, found)
    left, also_left = left_out(course)
    off = (*error_and_delay(course, clock), *left)
    went = (
        *course_sentences(told),
        *spike_sentences(told),
        *maximum_sentence(told),
        *late_sentence(told),
    )
    findings = (
        *rest_sentences(told),
        *_account(label, course, told.spans),
        *_lock(told),
        *(_longest(course) if told.spans else ()),
        *_peaks(course),
    )
    return Sentences(
        title=f"{label} {in_short(told)}",
        lines=(*lead(label, course), *ground(course), *off),
        course=went,
        findings=findings,
        asides=(*also_left, *_asides(course)),
        aloud=_aloud(told, aloud(label, course), (*off, *went, *findings)),
    )


def brief(
    label: str, course: pd.Series, found: pd.DataFrame, clock: ClockDecision | None
) -> tuple[str, ...]:
    """Those of its sentences that say most to who is told no more, what weighs most first."""
    told = Told.of(course, found)
    when = [f"{label}: {in_short(told)}."] if told.has_faults else []
    return (*lead(label, course), *when, *_in_brief(label, told, clock))


def brief_aloud(
    label: str, course: pd.Series, found: pd.DataFrame, clock: ClockDecision | None
) -> tuple[str, ...]:
    """The same as one says them, each standing alone."""
    told = Told.of(course, found)
    averaged, *others = aloud(label, course)
    what = in_short(told, lambda text: fits(spoken(f"{label}: {text}.")))
    when = [spoken(f"{label}: {what}.")] if told.has_faults else []
    return (averaged, *when, *others, *map(in_breaths, _in_brief(label, told, clock)))


def _in_brief(label: str, told: Told, clock: ClockDecision | None) -> Iterator[str]:
    """What follows on averages and on what happened when."""
    yield from left_out(told.course)[0]
    yield from error_and_delay(told.course, clock)
    yield from _account(label, told.course, told.spans)
    yield from late_sentence(told)


def _aloud(told: Told, opening: Sequence[str], sentences: Sequence[str]) -> str:
    """The opening, and the sentences as spoken as far as a minute goes: first what weighs most."""
    said = [in_breaths(one) for one in sentences if not is_for_the_eye(one)]
    main = {in_breaths(one) for one in sentences if _tells(one, told.heaviest)}
    kept = set(opening)
    for sentence in sorted(said, key=lambda one: one not in main):
        if len(" ".join([*kept, sentence]).split()) <= MOST_WORDS:
            kept.add(sentence)
    return " ".join([*opening, *_connected(said, kept)])


def _connected(said: Sequence[str], kept: set[str]) -> Iterator[str]:
    """Those `kept`, but for what goes on from one that is not."""
    last_is_kept = False
    for sentence in said:
        last_is_kept = sentence in kept and (last_is_kept or not sentence.startswith(GOES_ON))
        if last_is_kept:
            yield sentence


def _tells(sentence: str, heaviest: Sequence[Episode]) -> bool:
    """Whether a sentence is on the spans that weigh most."""
    if not heaviest:
        return False
    if heaviest[0].kind == Fault.SLOW_TO_FOLLOW:
        return kinds.kind(heaviest[0].kind).did in sentence
    if len(heaviest) > 1:
        kind = kinds.kind(heaviest[0].kind)
        return any(
            so in sentence for so in (f"{kind.did} {len(heaviest)} times", f" {kind.lane} for ")
        )
    return clock_of(heaviest[0].end_s) in sentence or clock_of(heaviest[0].start_s) in sentence


def _seconds(value: float) -> int | None:
    return None if pd.isna(value) else int(value)


def _account(label: str, course: pd.Series, episodes: Sequence[Episode]) -> Iterator[str]:
    total, aside = course["length_s"], course["not_compared_s"]
    left = f" and not compared for {share(aside / total)}" if aside else ""
    if episodes:
        on_track, wrong = (share(course[name] / total) for name in ("on_track_s", "episodes_s"))
        yield f"Of {lasting(total)}, {label} was on track for {on_track}, off it for {wrong}{left}."
    else:
        looked_for = len(kinds.KINDS) - len(untested(course))
        whole = lasting(course["on_track_s"])
        yield f"{label} was on track for the whole {whole} that could be compared."
        yield f"None of the {looked_for} kinds of fault that could be looked for was found."


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
