"""Parse: one raw export -> its samples and RR intervals, as the file states them."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from strapline.formats import read_export
from strapline.formats.export import Export, Hints, UnreadableExport
from strapline.formats.headings import shipped
from strapline.tables.recordings import BEATS, SAMPLES

if TYPE_CHECKING:
    from strapline.settings import HeadingWords

NO_FORMAT = "none"


def run(*, export: str, samples: str, beats: str, hints: str, headings: HeadingWords) -> None:
    """A file that cannot be read gives empty tables and the reason in plain words.

    `hints` is what the session card says of reading the file, as JSON; see `Hints`.
    """
    words = shipped().and_more(headings.model_dump())
    try:
        content, reason = read_export(Path(export), words, Hints(**json.loads(hints))), None
    except UnreadableExport as error:
        content, reason = Export(format=NO_FORMAT, clock="utc"), str(error)
    SAMPLES.write(
        content.samples,
        samples,
        file=Path(export).name,
        sha256=_sha256(export),
        format=content.format,
        clock=content.clock,
        utc_offset_s=content.utc_offset_s,
        maker=content.maker,
        product=content.product,
        serial=content.serial,
        firmware=content.firmware,
        external_sensor=content.external_sensor,
        sport=content.sport,
        laps_s=_laps_s(content),
        remarks=list(content.remarks),
        set_aside=reason,
    )
    BEATS.write(content.beats, beats)


def _laps_s(content: Export) -> list[float]:
    """Seconds from the first sample to each press of the lap key: the start of every lap but the
    first."""
    first = content.samples["time"].min()
    if pd.isna(first):
        return []
    starts = sorted(set(content.lap_starts_ms))[1:]
    return [round(start / 1000 - first.timestamp(), 3) for start in starts]


def _sha256(path: str) -> str | None:
    try:
        with Path(path).open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None
