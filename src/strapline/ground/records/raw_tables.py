"""The tables of a session's raw files, which are called by their content."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strapline.ground.tables.recordings import BEATS, SAMPLES, of_stream
from strapline.ground.tables.table import about

if TYPE_CHECKING:
    import pandas as pd

    from strapline.ground.records.intake import RecordingIntake

# Of a file's SHA-256, as hexadecimal digits: enough to tell files apart, and short enough for a
# path.
DIGITS = 16

BEATS_ENDING = ".beats.parquet"
# The folder of screenshots with what was read of them, beside that of raw tables.
SCREENS = "screens"


def raw_name(sha256: str) -> str:
    """What the tables of a file with this content are called; '' for one that was not read."""
    return sha256[:DIGITS]


class RawTables:
    """The samples and RR intervals of a session's files, read when they are asked for."""

    def __init__(self, samples: Iterable[str], beats: Iterable[str] = ()) -> None:
        self._samples = {Path(path).stem: path for path in samples}
        self._beats = {Path(path).name.removesuffix(BEATS_ENDING): path for path in beats}

    def hold(self, raw: str) -> bool:
        return raw in self._samples

    def about(self, raw: str) -> dict[str, Any]:
        """What parsing found out about the file."""
        return about(self._samples[raw])

    def samples(self, raw: str) -> pd.DataFrame:
        """Under SAMPLES; empty for a file that could not be read."""
        return SAMPLES.read(self._samples[raw]) if raw in self._samples else SAMPLES.empty()

    def beats(self, raw: str) -> pd.DataFrame:
        """Under BEATS; empty for a file that could not be read."""
        return BEATS.read(self._beats[raw]) if raw in self._beats else BEATS.empty()

    def samples_of(self, entry: RecordingIntake) -> pd.DataFrame:
        return of_stream(self.samples(entry.raw), entry.stream)

    def beats_of(self, entry: RecordingIntake) -> pd.DataFrame:
        return of_stream(self.beats(entry.raw), entry.stream)
