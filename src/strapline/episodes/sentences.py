"""What there is to say of a device in one session, in plain sentences with a number in each."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields

import numpy as np
import pandas as pd

from strapline.episodes.course import SETTLED_SHARE
from strapline.episodes.episode import Episode, Kind
from strapline.episodes.peaks import REACHED_WITHIN_BPM
from strapline.episodes.phases import course_in_words
from strapline.episodes.wording import clock, lasting, percent, signed, whole
from strapline.signal.response import LOCK_HOLD_S

MOST_KINDS = 2
SETTLED = percent(SETTLED_SHARE)
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
DID: dict[Kind, str] = {
    "no_value": "It had no value",
    "stuck": "It was stuck on one value",
    "slow_to_follow": "It was slow to follow",
    "follows_cadence": "It showed the cadence in place of the heart rate",
    "spike": "It jumped away",
    "reads_low": "It read low",
    "reads_high": "It read high",
}


@dataclass(frozen=True)
class Sentences:
    """`line` in one sentence, `course` as phases in order, five to eight `findings` one by one,
    and `aloud` as a text that takes a minute to read."""

    line: str
    course: str
    findings: tuple[str, ...]
    aloud: str


def sentences(label: str, course: pd.Series, found: pd.DataFrame) -> Sentences:
    """The findings on the device called `label`: its row under COURSES, its rows under
    EPISODES."""
    episodes = _episodes(found)
    first_lock_s = _seconds(course["first_lock_s"])
    told = course_in_words(episodes, first_lock_s, int(course["length_s"]))
    findings = (
        _account(label, course),
        _lock(first_lock_s),
        _settled(_seconds(course["settled_s"])),
        *_kinds(episodes),
        *_worst(episodes),
        *_longest(course),
        *_peaks(course),
    )
    return Sentences(
        line=_line(label, course, episodes),
        course=f"{label}: {told[:1].lower()}{told[1:]}",
        findings=findings,
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
        f"{label} was on track for {percent(course['on_track_s'] / course['length_s'])} of "
        f"{lasting(course['length_s'])}"
    )
    if not episodes:
        return f"{start}, without an episode."
    kind, own = _by_time(episodes)[0]
    deed = DID[kind].removeprefix("It ")
    return f"{start}; it {deed} for {lasting(sum(e.duration_s for e in own))} in all."


def _account(label: str, course: pd.Series) -> str:
    total = course["length_s"]
    return (
        f"Of {lasting(total)}, {label} was on track for {percent(course['on_track_s'] / total)}, "
        f"not right for {percent(course['episodes_s'] / total)} and not compared for "
        f"{percent(course['not_compared_s'] / total)}."
    )


def _lock(first_lock_s: int | None) -> str:
    if first_lock_s is None:
        return f"At no time was it near the reference for {LOCK_HOLD_S} s on end."
    return (
        f"It was first near the reference, for {LOCK_HOLD_S} s on end, from {clock(first_lock_s)}."
    )


def _settled(settled_s: int | None) -> str:
    if settled_s is None:
        return f"There is no moment from which on it was on track for {SETTLED} of the time."
    return f"From {clock(settled_s)} to the end it was on track for {SETTLED} of the time."


def _by_time(episodes: Sequence[Episode]) -> list[tuple[Kind, list[Episode]]]:
    """The kinds with their episodes, the one that took most time first."""
    kinds: dict[Kind, list[Episode]] = {}
    for episode in episodes:
        kinds.setdefault(episode.kind, []).append(episode)
    return sorted(kinds.items(), key=lambda item: -sum(e.duration_s for e in item[1]))


def _kinds(episodes: Sequence[Episode]) -> Iterator[str]:
    if not episodes:
        yield "It had 0 episodes of any kind."
    for kind, own in _by_time(episodes)[:MOST_KINDS]:
        times = f"{len(own)} times" if len(own) > 1 else "1 time"
        sentence = f"{DID[kind]} {times}, {lasting(sum(e.duration_s for e in own))} in all"
        if kind != "no_value":
            peak = max(abs(e.peak_error_bpm) for e in own)
            sentence += f", and was {whole(peak)} bpm off at most"
        yield f"{sentence}."


def _worst(episodes: Sequence[Episode]) -> Iterator[str]:
    """The episode with the most beats missed or invented: mean error times duration."""
    known = [e for e in episodes if not np.isnan(e.mean_error_bpm)]
    if known:
        worst = max(known, key=lambda e: abs(e.mean_error_bpm) * e.duration_s)
        yield (
            f"The worst was from {clock(worst.start_s)} to {clock(worst.end_s)}: "
            f"{signed(worst.mean_error_bpm)} bpm on average, "
            f"{signed(worst.peak_error_bpm)} bpm at most."
        )


def _longest(course: pd.Series) -> Iterator[str]:
    start, end = _seconds(course["longest_start_s"]), _seconds(course["longest_end_s"])
    if start is not None and end is not None:
        yield (
            f"Its longest time on track was {lasting(end - start)}, from {clock(start)}, and "
            f"{course['longest_error_bpm']:.1f} bpm off on average."
        )


def _peaks(course: pd.Series) -> Iterator[str]:
    if peaks := course["peaks"]:
        of = f"{peaks} peaks" if peaks > 1 else "1 peak"
        yield (
            f"Of {of} of the reference it reached {course['peaks_reached']}, "
            f"to within {REACHED_WITHIN_BPM} bpm."
        )
