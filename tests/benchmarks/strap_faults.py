"""Simulated truth for judging a reference: hearts, and what can go wrong with their strap.

A second model of faults beside `strapline.demo.strap`, by other means and of other kinds. The
hearts beat by `strapline.demo.physiology.beat_times`; all sizes are invented.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from strapline.demo.chance import chance_spans, generator, within
from strapline.demo.physiology import beat_times, first_order

KINDS = ("ectopic", "missed", "extra", "displaced")


def _resting(second: np.ndarray) -> np.ndarray:
    return 54 + 3 * np.sin(second / 90)


def _onsets(second: np.ndarray) -> np.ndarray:
    return first_order(np.where(second % 240 < 120, 60.0, 172.0), 9, 30)


def _working(second: np.ndarray) -> np.ndarray:
    return 158 + 4 * np.sin(second / 60)


def _intervals(second: np.ndarray) -> np.ndarray:
    return first_order(np.where(second % 150 < 75, 120.0, 180.0), 22, 35)


# A heart's mean rate (bpm, at 1 Hz) and the share of it that breathing and slow waves move at
# 60 bpm. 0.2 at 54 bpm is a young athlete's sinus arrhythmia: 41 to 67 bpm within a breath.
HEARTS: dict[str, tuple[Callable[[np.ndarray], np.ndarray], float]] = {
    "rest": (_resting, 0.05),
    "rest, strong sinus arrhythmia": (_resting, 0.2),
    "steep onsets": (_onsets, 0.05),
    "steady work": (_working, 0.05),
    "intervals": (_intervals, 0.07),
}


def heart(name: str, duration_s: int, *seed: str) -> np.ndarray:
    """Times of the beats in s; ticks of the clock and ragged beats (SD 4 ms) included."""
    rate, variability = HEARTS[name]
    beats = beat_times(rate(np.arange(duration_s + 1.0)), variability, name, *seed)
    ragged = beats + generator(name, *seed, "ragged").normal(0, 0.004, beats.size)
    return np.round(ragged * 1024) / 1024


@dataclass(frozen=True)
class Series:
    """Times of the heard beats in s, and which of the intervals between them are wrong."""

    beat_s: np.ndarray
    wrong: np.ndarray

    @property
    def rr_ms(self) -> np.ndarray:
        return np.diff(self.beat_s) * 1000


def with_artefacts(beats: np.ndarray, kind: str, share: float, *seed: str) -> Series:
    """A share of the beats spoilt, at least five apart, as `kind` of KINDS says.

    ectopic: 25 to 40 % early, with the pause after it; missed; extra: one more within the
    interval; displaced: heard 15 to 25 % of an interval early or late (noise).
    """
    chance = generator(kind, *seed, "artefacts")
    number = round(share * beats.size)
    places = np.sort(chance.choice(np.arange(6, beats.size - 6), number, replace=False))
    places = places[np.diff(places, prepend=-9) > 5]
    before, after = np.diff(beats)[places - 1], np.diff(beats)[places]
    spoilt = np.zeros(beats.size, dtype=bool)
    spoilt[places] = True
    if kind == "missed":
        return Series(beats[~spoilt], np.roll(spoilt, 1)[~spoilt][1:])
    heard = beats.copy()
    if kind == "extra":
        more = beats[places] + chance.uniform(0.35, 0.65, places.size) * after
        heard = np.concatenate([beats, more])
        spoilt = np.arange(heard.size) >= beats.size
    elif kind == "ectopic":
        heard[places] -= chance.uniform(0.25, 0.4, places.size) * before
    else:
        sign = chance.choice([-1, 1], places.size)
        heard[places] += sign * chance.uniform(0.15, 0.25, places.size) * before
    order = np.argsort(heard)
    spoilt = spoilt[order]
    return Series(heard[order], spoilt[1:] | spoilt[:-1])


FAULTS = ("half", "static", "lost", "stuck")


def faulty_spans(duration_s: int, *seed: str) -> tuple[tuple[int, int], ...]:
    """Where a strap fails: about 10 spans an hour of 15 to 45 s."""
    return chance_spans(np.ones(duration_s, dtype=bool), 10, 30, generator(*seed, "spans"))


def heard_through(beats: np.ndarray, fault: str, duration_s: int, *seed: str) -> np.ndarray:
    """The beats that a strap hears which fails in `faulty_spans`.

    half: every second beat is missed; static: the shirt's sparks count as beats, 100 a minute;
    lost: no beat is heard; stuck: as lost, but see `held`.
    """
    spans = faulty_spans(duration_s, *seed)
    failing = within(spans, duration_s + 2)[beats.astype(int)]
    if fault == "half":
        return beats[~(failing & (np.arange(beats.size) % 2 == 0))]
    if fault in ("lost", "stuck"):
        return beats[~failing]
    chance = generator(*seed, "static")
    sparks = [chance.uniform(a, b, round((b - a) * 100 / 60)) for a, b in spans]
    everything = np.sort(np.concatenate([beats, *sparks]))
    return everything[np.diff(everything, prepend=-1) > 0.2]


def held(rate: np.ndarray, averaged_over_s: int) -> np.ndarray:
    """A strap's own rate that repeats the last value until its average is whole again."""
    gone = pd.Series(np.isnan(rate)).rolling(averaged_over_s + 1, min_periods=1).max() > 0
    return pd.Series(rate).mask(gone).ffill().to_numpy()
