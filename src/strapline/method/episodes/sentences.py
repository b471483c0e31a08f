"""What there is to say of a device in one session, in plain sentences with a number in each."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields

import numpy as np
import pandas as pd

from strapline.ground.words import clock, lasting, number, share
from strapline.method.episodes import kinds
from strapline.method.episodes.course import SETTLED_SHARE
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.kind import EpisodeKind
from strapline.method.episodes.not_compared import in_words
from strapline.method.episodes.peaks import REACHED_WITHIN_BPM
from strapline.method.episodes.phases import course_in_words
from strapline.method.signal.response import LOCK_HOLD_S

MOST_KINDS = 2
SETTLED = share(SETTLED_SHARE)
# Read aloud at about 150 words a minute, which is common practice, no source.
MOST_WORDS = 150
MOMENT = re.compile(r"(?:(\d+):)?(\d+):(\d\d)")
SPOKEN = (
    (r"\bbpm\b", "beats a minute"),
    (r"\bmin\b", "minutes"),
    (r"(\d) s\b", r"\1 seconds"),
    (r"(\d) h\b", r"\1 hours"),
    (r"\b1 (minute|second|hour)s\b", r"1 \1"),
    (r" %", " percent"),
    (r"−", "minus "),
    (r"\+(?=\d)", "plus "),
)


@dataclass(frozen=True)
class Sentences:
    """`line` in one sentence, `course` as phases in order, five to eight `findings` one by one,
    `asides` on what is no fault and what could not be looked for, and `aloud` as a text that takes
    a minute to read."""

    line: str
    course: str
    findings: tuple[str, ...]
    asides: tuple[str, ...]
    aloud: str


def sentences(label: str, course: pd.Series, found: pd.DataFrame) -> Sentences:
    """The findings on the device called `label`: its row under COURSES, its rows under
    EPISODES."""
    episodes = _episodes(found)
    first_lock_s = _seconds(course["first_lock_s"])
    told = course_in_words(episodes, first_lock_s, int(course["length_s"]), int(course["began_s"]))
    findings = (
        *_account(label, course, episodes),
        _lock(None if first_lock_s is None else first_lock_s - int(course["began_s"])),
        *_when(_seconds(course["settled_s"]), episodes, int(course["length_s"])),
        *_kinds(episodes),
        *_worst(episodes),
        *_longest(course),
        *_peaks(course),
    )
    return Sentences(
        line=_line(label, course, episodes),
        course=f"{label}: {told[:1].lower()}{told[1:]}",
        findings=findings,
        asides=tuple(_asides(course)),
        aloud=_aloud(findings),
    )


def spoken(text: str) -> str:
    """`text` with its signs and units as one says them."""
    text = MOMENT.sub(_moment, text)
    for pattern, words in SPOKEN:
        text = re.sub(pattern, words, text)
    return text


def _moment(clock_time: re.Match[str]) -> str:
    hours, minutes, seconds = (int(part or 0) for part in clock_time.groups())
    since = 3600 * hours + 60 * minutes + seconds
    return lasting(since) if since else "the start"


def _aloud(sentences: Sequence[str]) -> str:
    """The sentences as spoken, as far as a minute goes."""
    text = ""
    for sentence in map(spoken, sentences):
        longer = f"{text} {sentence}".strip()
        if len(longer.split()) <= MOST_WORDS:
            text = longer
    return text


def _episodes(found: pd.DataFrame) -> list[Episode]:
    names = [field.name for field in fields(Episode)]
    return [Episode(*values) for values in found[names].itertuples(index=False)]


def _seconds(value: float) -> int | None:
    return None if pd.isna(value) else int(value)


def _line(label: str, course: pd.Series, episodes: Sequence[Episode]) -> str:
    start = (
        f"{label} was on track for {share(course['on_track_s'] / course['length_s'])} of "
        f"{lasting(course['length_s'])}"
    )
    if not episodes:
        return f"{start}, without an episode."
    kind, own = _by_time(episodes)[0]
    return f"{start}; it {kind.did} for {lasting(sum(e.duration_s for e in own))} in all."


def _account(label: str, course: pd.Series, episodes: Sequence[Episode]) -> Iterator[str]:
    total, aside = course["length_s"], course["not_compared_s"]
    if episodes:
        yield (
            f"Of {lasting(total)}, {label} was on track for "
            f"{share(course['on_track_s'] / total)}, not right for "
            f"{share(course['episodes_s'] / total)} and not compared for "
            f"{share(aside / total)}."
        )
    else:
        looked_for = len(kinds.KINDS) - len(untested(course))
        yield f"{label} was on track in all {lasting(course['on_track_s'])} that could be compared."
        yield f"None of the {looked_for} kinds of fault that could be looked for was found."
        yield f"Of the session’s {lasting(total)}, {lasting(aside)} could not be compared."


def _lock(first_lock_s: int | None) -> str:
    if first_lock_s is None:
        return f"At no time was it near the reference for {LOCK_HOLD_S} s on end."
    if first_lock_s == 0:
        return f"It was near the reference from the start, for {LOCK_HOLD_S} s and more."
    return f"It took {lasting(first_lock_s)} to come near the reference for {LOCK_HOLD_S} s on end."


def _when(settled_s: int | None, episodes: Sequence[Episode], length_s: int) -> Iterator[str]:
    """From when on it was right, or else in which half it was wrong for how long."""
    if not episodes:
        return
    if settled_s:
        yield f"From {clock(settled_s)} to the end it was on track for {SETTLED} of the time."
        return
    half = length_s // 2
    early = sum(max(min(e.end_s, half) - e.start_s, 0) for e in episodes)
    late = sum(e.duration_s for e in episodes) - early
    if not early:
        yield f"It was right throughout the first half, and not for {lasting(late)} of the second."
    elif not late:
        yield f"It was not right for {lasting(early)} of the first half, and right in the second."
    else:
        yield (
            f"It was not right for {lasting(early)} of the first half, and for {lasting(late)} of "
            "the second."
        )


def _by_time(episodes: Sequence[Episode]) -> list[tuple[EpisodeKind, list[Episode]]]:
    """The kinds with their episodes, the one that took most time first."""
    found: dict[str, list[Episode]] = {}
    for episode in episodes:
        found.setdefault(episode.kind, []).append(episode)
    told = [(kinds.kind(key), own) for key, own in found.items()]
    return sorted(told, key=lambda item: -sum(e.duration_s for e in item[1]))


def _kinds(episodes: Sequence[Episode]) -> Iterator[str]:
    for kind, own in _by_time(episodes)[:MOST_KINDS]:
        often = f"{len(own)} times, for" if len(own) > 1 else "once, for"
        in_all = " in all" if len(own) > 1 else ""
        sentence = f"{kind.deed} {often} {lasting(sum(e.duration_s for e in own))}{in_all}"
        if kind.has_error:
            peak = max(abs(e.peak_error_bpm) for e in own)
            sentence += f", and was {number(peak, decimals=0)} bpm off at most"
        yield f"{sentence}."


def _worst(episodes: Sequence[Episode]) -> Iterator[str]:
    """The episode with the most beats missed or invented: mean error times duration."""
    known = [e for e in episodes if not np.isnan(e.mean_error_bpm)]
    if known:
        worst = max(known, key=lambda e: abs(e.mean_error_bpm) * e.duration_s)
        yield (
            f"The worst was from {clock(worst.start_s)} to {clock(worst.end_s)}: "
            f"{number(worst.mean_error_bpm, plus=True, decimals=0)} bpm on average, "
            f"{number(worst.peak_error_bpm, plus=True, decimals=0)} bpm at most."
        )


def _longest(course: pd.Series) -> Iterator[str]:
    start, end = _seconds(course["longest_start_s"]), _seconds(course["longest_end_s"])
    if start is not None and end is not None:
        yield (
            f"Its longest time on track was {lasting(end - start)}, from {clock(start)}, and "
            f"{course['longest_error_bpm']:.1f} bpm off on average."
        )


def untested(course: pd.Series) -> dict[str, str]:
    """Kinds that could not be looked for, key -> why."""
    told = course["not_testable"]
    return {} if pd.isna(told) else json.loads(told)


def _asides(course: pd.Series) -> Iterator[str]:
    """Where no comparison was, and a sentence for each reason why a kind could not be looked
    for."""
    if course["not_compared_s"]:
        yield f"Not compared, and no fault: {in_words(course)}."
    by_reason: dict[str, list[str]] = {}
    for key, why in untested(course).items():
        by_reason.setdefault(why, []).append(kinds.kind(key).name.lower())
    for why, names in by_reason.items():
        yield f"Could not be looked for, for {why}: {', '.join(names)}."


def _peaks(course: pd.Series) -> Iterator[str]:
    peaks, reached = course["peaks"], course["peaks_reached"]
    if peaks == 1:
        yield (
            f"It {'reached' if reached else 'did not reach'} the reference’s only peak, to within "
            f"{REACHED_WITHIN_BPM} bpm."
        )
    elif peaks:
        share = {0: "none", peaks: "all"}.get(reached, f"{reached}")
        yield (
            f"It reached {share} of the reference’s {peaks} peaks, to within "
            f"{REACHED_WITHIN_BPM} bpm."
        )
