"""Parse: one raw export -> its samples and RR intervals, as the file states them."""

from __future__ import annotations

import hashlib
from dataclasses import asdict
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.files import sha256_of
from strapline.ground.tables.recordings import BEATS, SAMPLES
from strapline.ground.vocabulary import FileClock
from strapline.reading.formats import content_of, export_in
from strapline.reading.formats.export import Export, Hints, UnreadableExport
from strapline.reading.formats.headings import Headings, shipped

if TYPE_CHECKING:
    from strapline.ground.settings import HeadingWords

NOTHING = Export(format="none", clock=FileClock.UTC)
CHANGED = "It changed while the run was at work; type `snakemake` again."


def run(
    *, export: str, content: str, samples: str, beats: str, hints: str, headings: HeadingWords
) -> None:
    """A file that cannot be read gives empty tables and the reason in plain words. Nothing of the
    file's name, and none of its own words, is kept.

    `content` is the SHA-256 it had when the run began; `hints` what the session card says of
    reading it, as JSON, see `Hints`.
    """
    words = shipped().and_more(headings.model_dump())
    sha256, stated, reason = _reading(export, words, Hints.model_validate_json(hints))
    if (sha256 or "") != content:
        stated, reason = NOTHING, CHANGED
    SAMPLES.write(
        stated.samples,
        samples,
        sha256=sha256,
        laps_s=_laps_s(stated),
        streams=[asdict(stream) for stream in stated.streams],
        set_aside=reason,
        **stated.as_json(),
    )
    BEATS.write(stated.beats, beats)


def _reading(export: str, words: Headings, hints: Hints) -> tuple[str | None, Export, str | None]:
    """The SHA-256 of a file, and what these same bytes say, or why they say nothing."""
    try:
        content = content_of(export)
    except UnreadableExport as reason:
        return sha256_of(export), NOTHING, str(reason)
    sha256 = hashlib.sha256(content).hexdigest()
    try:
        return sha256, export_in(content, words, hints), None
    except UnreadableExport as reason:
        return sha256, NOTHING, str(reason)


def _laps_s(export: Export) -> list[float]:
    """Seconds from the first sample to each press of the lap key: the start of every lap but the
    first."""
    first = export.samples["time"].min()
    if pd.isna(first):
        return []
    starts = sorted(set(export.lap_starts_ms))[1:]
    return [round(start / 1000 - first.timestamp(), 3) for start in starts]
