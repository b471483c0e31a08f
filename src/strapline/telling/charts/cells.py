"""Thousands of seconds as some hundred dots: seconds counted in square cells, a panel a device."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from strapline.ground.records.intake import RecordingIntake
from strapline.ground.vocabulary import Status
from strapline.ground.words import plain
from strapline.telling.charts.picture import Content, Rows, by_column
from strapline.telling.charts.places import places

# Widths of a cell in bpm: the first with which a device has no more than so many.
_SIZES = (2, 4, 8, 16)
_MOST = 450


def cells(points: pd.DataFrame) -> tuple[pd.DataFrame, int]:
    """Points of two columns in bpm, counted in cells: the columns and `seconds`; a cell's width."""
    for size in _SIZES:
        counted = (points / size).round() * size
        found = counted.value_counts(sort=False).rename("seconds").reset_index()
        if len(found) <= _MOST:
            break
    return found, size


def compared_points(
    aligned: pd.DataFrame, recording: str, of: Callable[[np.ndarray, np.ndarray], dict[str, object]]
) -> pd.DataFrame:
    """What `of` makes of device and reference in the compared seconds of a recording."""
    own = aligned.loc[
        (aligned["recording"] == recording) & (aligned["status"] == Status.COMPARED),
        ["device_bpm", "reference_bpm"],
    ]
    return pd.DataFrame(of(own["device_bpm"].to_numpy(), own["reference_bpm"].to_numpy()))


def dotted(
    subtitle: str,
    shown: Sequence[RecordingIntake],
    bench: Sequence[str],
    counted: Mapping[str, pd.DataFrame],
    values: Mapping[str, Any],
    *lines: Mapping[str, Rows],
) -> Content:
    """A panel a device: its `counted` cells (two columns, called x and y here, and seconds), and
    rows of its own of each of `lines`."""
    place = places([r.device for r in shown], bench)
    at = [
        [{"place": place[r.device], **row} for r in shown for row in own.get(r.recording, ())]
        for own in lines
    ]
    dots = [
        [
            {"place": place[r.device], "x": int(x), "y": int(y), "seconds": int(seconds)}
            for x, y, seconds in counted[r.recording].to_numpy()
        ]
        for r in shown
    ]
    headings = {str(place[r.device]): plain(r.label) for r in shown}
    return Content(subtitle, {"dots": by_column(*at, *dots)}, {"headings": headings, **values})
