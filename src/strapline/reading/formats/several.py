"""Several exports as one, such as those of an app's whole history in a packed file."""

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
    left = len(exports) - len(certain)
    said = f"Left out for having no certain time: {counted(left, 'export')} of the archive."
    whole = Export(
        format=FORMAT,
        clock=FileClock.UTC,
        utc_offset_s=next((e.utc_offset_s for e in certain if e.utc_offset_s is not None), None),
        remarks=(said,) if left else (),
    )
    own = [each.streams or (Stream(FIRST_STREAM, "its heart rate"),) for each in certain]
    sources = [
        [f"{stream.source}, in export {place} of the archive" for stream in streams]
        for place, streams in enumerate(own, 1)
    ]
    return beside(whole, certain, sources)


def beside(whole: Export, exports: Sequence[Export], sources: Sequence[Sequence[str]]) -> Export:
    """`whole` with the samples and RR intervals of all exports, each of their heart rates a stream
    of its own; `sources`: of each export, what its streams are from."""
    samples, beats, streams = [], [], list[Stream]()
    for export, told in zip(exports, sources, strict=True):
        before = len(streams)
        samples.append(export.samples.assign(stream=export.samples["stream"] + before))
        beats.append(export.beats.assign(stream=export.beats["stream"] + before))
        own = export.streams or (Stream(FIRST_STREAM, ""),)
        streams += [
            replace(stream, number=stream.number + before, source=source)
            for stream, source in zip(own, told, strict=True)
        ]
    return replace(
        whole,
        samples=pd.concat(samples, ignore_index=True),
        beats=pd.concat(beats, ignore_index=True),
        streams=tuple(streams),
    )
