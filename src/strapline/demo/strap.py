"""A chest strap: RR intervals, and a rate averaged over the last seconds."""

from dataclasses import dataclass

import numpy as np

from strapline.demo.chance import chance_spans, generator, within
from strapline.demo.physiology import Floats

LONGEST_INTERVAL_S = 2.5
LOWEST_BPM, HIGHEST_BPM = 30, 240
BAD_CONTACTS_PER_HOUR = 14.0
BAD_CONTACT_S = 14.0
NOISY_PER_HOUR = 20.0
NOISY_S = 12.0


@dataclass(frozen=True)
class StrapReading:
    """What the strap stores.

    heart_rate_bpm
        Averaged rate at 1 Hz in whole bpm; NaN where no beat was heard.
    beat_s, rr_ms
        End of each RR interval in s from the start, and its length in whole ms.
    """

    heart_rate_bpm: Floats
    beat_s: Floats
    rr_ms: Floats


@dataclass(frozen=True)
class Contact:
    """Spans (start_s, end_s) of lost and of noisy contact."""

    lost: tuple[tuple[int, int], ...] = ()
    noisy: tuple[tuple[int, int], ...] = ()


def bad_contact(duration_s: int, *seed: str) -> Contact:
    """Where a dry or loose strap loses beats, and where it hears too many or too few."""
    allowed = np.ones(duration_s, dtype=np.bool_)
    chance = generator(*seed, "contact")
    lost = chance_spans(allowed, BAD_CONTACTS_PER_HOUR, BAD_CONTACT_S, chance)
    noisy = chance_spans(allowed & ~within(lost, duration_s), NOISY_PER_HOUR, NOISY_S, chance)
    return Contact(lost, noisy)


def strap_reading(
    beats: Floats, duration_s: int, window_s: float, contact: Contact, *seed: str
) -> StrapReading:
    """The reading for true `beats` (times in s), averaged over a trailing `window_s`.

    A trailing window delays by half its length. A silence longer than the longest RR interval
    is no interval: the strap starts anew, and its rate is missing.
    """
    heard = _heard(beats, contact, generator(*seed, "noise"))
    intervals = np.diff(heard)
    connected = intervals <= LONGEST_INTERVAL_S
    return StrapReading(
        heart_rate_bpm=_averaged(heard, duration_s, window_s),
        beat_s=heard[1:][connected],
        rr_ms=np.round(1000 * intervals[connected]),
    )


def _heard(beats: Floats, contact: Contact, chance: np.random.Generator) -> Floats:
    """Beats without those lost; in noise some are missed and others counted twice."""
    seconds = int(beats[-1]) + 1
    lost = within(contact.lost, seconds)[beats.astype(int)]
    noisy = within(contact.noisy, seconds)[beats.astype(int)]
    luck = chance.random(len(beats))
    missed = lost | (noisy & (luck < 0.15))
    doubled = beats[noisy & (luck > 0.6) & ~lost]
    return np.sort(np.concatenate([beats[~missed], doubled + 0.3]))


def _averaged(heard: Floats, duration_s: int, window_s: float) -> Floats:
    """Beats a minute over the last `window_s`, counting parts of an interval by its share."""
    now = np.arange(duration_s, dtype=np.float64)
    before = np.maximum(now - window_s, 0)
    heard = np.append(heard, 2 * heard[-1] - heard[-2])
    count = np.arange(len(heard), dtype=np.float64)
    passed = np.interp(now, heard, count) - np.interp(before, heard, count)
    rate: Floats = 60 * passed / np.maximum(now - before, 1)
    rate = np.round(np.clip(rate, LOWEST_BPM, HIGHEST_BPM)).astype(np.float64)
    ahead = np.minimum(np.searchsorted(heard, now), len(heard) - 1)
    silent = heard[ahead] - heard[np.maximum(ahead - 1, 0)] > LONGEST_INTERVAL_S
    rate[silent] = np.nan
    rate[: int(np.ceil(window_s))] = np.nan
    return rate
