"""What a raw export says, whatever its format."""

from dataclasses import dataclass, field
from typing import Literal

import pandas as pd

from strapline.tables import BEATS, SAMPLES

Clock = Literal["utc", "local", "elapsed"]


class UnreadableExport(ValueError):
    """A file no reader can use; its message is a plain sentence for the tester."""


@dataclass(frozen=True)
class Export:
    """The content of one file.

    samples, beats
        Frames under the contracts SAMPLES and BEATS, in file order.
    clock
        'utc': times are certain. 'local': times are wall-clock readings without a zone, stored
        as if UTC. 'elapsed': only the time since the start is known.
    maker, product, serial
        The device as the file names it; used to recognise it, never shown.
    sport
        The file's own word for the activity.
    remarks
        What a tester should know of the reading, each a plain sentence.
    """

    format: str
    clock: Clock
    samples: pd.DataFrame = field(default_factory=SAMPLES.empty)
    beats: pd.DataFrame = field(default_factory=BEATS.empty)
    maker: str | None = None
    product: str | None = None
    serial: str | None = None
    sport: str | None = None
    remarks: tuple[str, ...] = ()
