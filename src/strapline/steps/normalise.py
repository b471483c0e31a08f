"""Normalise: one recording's samples or beats -> heart rate in UTC, doubtful values flagged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.session.intake import read_intake
from strapline.signal.normalised import marked_at, normalise
from strapline.tables.recordings import BEATS, NORMALISED, SAMPLES

if TYPE_CHECKING:
    from strapline.settings import Plausibility, RrIntervals


def run(
    *,
    samples: str,
    beats: str,
    intake: str,
    normalised: str,
    recording: str,
    plausibility: Plausibility,
    rr_intervals: RrIntervals,
) -> None:
    entry = next(r for r in read_intake(intake).recordings if r.recording == recording)
    content = SAMPLES.read(samples), BEATS.read(beats)
    result = normalise(*content, entry, plausibility, rr_intervals)
    NORMALISED.write(
        result.frame,
        normalised,
        rate_from=result.rate_from,
        marked_at_s=marked_at(*content, entry),
        samples=result.samples.model_dump(),
        beats=result.beats.model_dump(),
    )
