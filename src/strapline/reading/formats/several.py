"""A packed file that holds several exports, such as an app's whole history."""

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import FileClock
from strapline.reading.formats.export import Export, Stream, UnreadableExport
from strapline.reading.formats.sentences import counted

FORMAT = "zip"
_NO_CLOCK = (
    "The archive holds several exports, and none states its time for certain; unpack it and put "
    "each recording into its session's folder."
)


def joined(exports: Sequence[Export]) -> Export:
    """Each heart rate of all exports whose clock is certain, as a stream; the others are told.

    Raises UnreadableExport where there is none of those.
    """
    certain = [export for export in exports if export.clock == FileClock.UTC]
    if not certain:
        raise UnreadableExport(_NO_CLOCK)
    samples, beats, streams = [], [], list[Stream]()
    for place, export in enumerate(certain, 1):
        before = len(streams)
        samples.append(export.samples.assign(stream=export.samples["stream"] + before))
        beats.append(export.beats.assign(stream=export.beats["stream"] + before))
        for stream in export.streams or (Stream(FIRST_STREAM, "its heart rate"),):
            source = f"{stream.source}, in export {place} of the archive"
            streams.append(replace(stream, number=stream.number + before, source=source))
    left = len(exports) - len(certain)
    said = f"Left out for having no certain time: {counted(left, 'export')} of the archive."
    return Export(
        format=FORMAT,
        clock=FileClock.UTC,
        samples=pd.concat(samples, ignore_index=True),
        beats=pd.concat(beats, ignore_index=True),
        streams=tuple(streams),
        utc_offset_s=next((e.utc_offset_s for e in certain if e.utc_offset_s is not None), None),
        remarks=(said,) if left else (),
    )
