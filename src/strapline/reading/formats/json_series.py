"""The series of one JSON document together: laps one after the other are one recording, and what
stands under keys of its own is a sensor of its own."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from strapline.ground.tables.recordings import seconds_of
from strapline.reading.formats.export import Export, Hints, UnreadableExport
from strapline.reading.formats.sentences import counted, placed
from strapline.reading.formats.series import Candidate
from strapline.reading.formats.several import beside
from strapline.reading.formats.streams import tracks
from strapline.reading.formats.table_export import export_of

_MOST = 50
# A list much shorter than the recording is a summary of it, or a preview.
_SMALLEST_PART = 0.2


def joined(candidates: Sequence[Candidate], hints: Hints) -> Export:
    """The export of the best of the candidates, with those that go on from it and beside it.

    Raises UnreadableExport where the best is none.
    """
    best = max(candidates, key=lambda candidate: candidate.worth)
    whole = export_of(best.table, "json", hints)
    alike = sorted(
        (c for c in candidates if c is not best and c.worth[0] == best.worth[0]),
        key=lambda candidate: -candidate.worth[1],
    )
    laps, others = [whole], dict[tuple[str, ...], Export]()
    for candidate in alike[:_MOST]:
        export = _export(candidate, whole, hints)
        if export is None or any(_repeats(export, other) for other in (*laps, *others.values())):
            continue
        if candidate.keys == best.keys:
            laps.append(export)
        elif len(export.samples) >= _SMALLEST_PART * len(whole.samples) > 0:
            others.setdefault(candidate.keys, export)
    recording = _one_after_the_other(laps)
    if not others or whole.streams:
        return recording
    count = 1 + len(others)
    sources = [[f"the {placed(n)} of the {count} series in the JSON"] for n in range(count)]
    return beside(recording, [recording, *others.values()], sources)


def _export(candidate: Candidate, whole: Export, hints: Hints) -> Export | None:
    try:
        export = export_of(candidate.table, "json", hints)
    except UnreadableExport:
        return None
    return export if export.clock == whole.clock and not export.streams else None


def _repeats(one: Export, other: Export) -> bool:
    """Whether all of one stands in the other: a list may be reached in several ways."""
    rates = ["time", "elapsed_s", "heart_rate_bpm"]
    shared = one.samples[rates].merge(other.samples[rates].drop_duplicates(), on=rates)
    return len(shared) >= len(one.samples) and len(one.beats) <= len(other.beats)


def _one_after_the_other(laps: Sequence[Export]) -> Export:
    """Those that share no time with one before them, in order of time; the others are told."""
    first = laps[0]
    numbers = tracks([_span(export) for export in laps])
    kept = [export for export, number in zip(laps, numbers, strict=True) if number == 0]
    kept.sort(key=lambda export: (_span(export) or (0.0, 0.0))[0])
    left = len(laps) - len(kept)
    said = (
        f"Beside the longest series of heart rates the JSON has {counted(left, 'other')} of the "
        "same time, which are not used."
    )
    if len(kept) == 1 and not left:
        return first
    return replace(
        first,
        samples=_numbered([export.samples for export in kept]),
        beats=_numbered([export.beats for export in kept]),
        remarks=(*first.remarks, *([said] if left else [])),
    )


def _numbered(frames: Sequence[pd.DataFrame]) -> pd.DataFrame:
    whole = pd.concat([f for f in frames if len(f)] or [frames[0]], ignore_index=True)
    return whole.assign(ordinal=np.arange(len(whole)))


def _span(export: Export) -> tuple[float, float] | None:
    frame = export.samples if len(export.samples) else export.beats
    seconds = seconds_of(frame)
    return (seconds.min(), seconds.max()) if seconds.notna().any() else None
