"""Normalise: a session's raw tables -> the heart rate of each recording, in UTC."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.records.intake import read_intake
from strapline.ground.records.raw_tables import RawTables
from strapline.ground.tables.recordings import CHANNELS, NORMALISED
from strapline.method.signal.normalised import marked_at, normalise
from strapline.method.signal.trace import Trace

if TYPE_CHECKING:
    from strapline.ground.settings import Plausibility, RrIntervals


def run(
    *,
    intake: str,
    samples: list[str],
    beats: list[str],
    recordings: str,
    channels: str,
    plausibility: Plausibility,
    rr_intervals: RrIntervals,
) -> None:
    raw, frames, beside, accounts = RawTables(samples, beats), [], [], {}
    for entry in read_intake(intake).recordings:
        content = raw.samples_of(entry), raw.beats_of(entry)
        result = normalise(*content, entry, plausibility, rr_intervals)
        spacing = Trace.of(result.frame).spacing
        frames.append(result.frame)
        beside.append(result.channels)
        accounts[entry.recording] = {
            "rate_from": result.rate_from,
            "said": result.said,
            "usual_s": spacing.usual_s,
            "largest_usual_s": spacing.largest_s,
            "marked_at_s": marked_at(*content, entry),
            "samples": result.samples.model_dump(),
            "beats": result.beats.model_dump(),
        }
    NORMALISED.write(NORMALISED.joined(frames), recordings, recordings=accounts)
    CHANNELS.write(CHANNELS.joined(beside), channels, recordings=list(accounts))
