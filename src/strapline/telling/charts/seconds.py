"""The aligned table turned to one row a second, for drawing."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Status
from strapline.method.signal.reference_check import WORDS
from strapline.method.signal.spans import Span, spans_of, within
from strapline.telling.charts.tenth import number

# Of two pixels each, in the widest drawing of a page.
PLACES = 520


def by_second(aligned: pd.DataFrame, recordings: Sequence[str]) -> pd.DataFrame:
    """One row a second from the session's first: reference, rate_i, difference_i.

    Seconds the table does not have are rows without values, so that no line is drawn across.
    Differences stand only at compared seconds.
    """
    seconds = elapsed(aligned)
    table = pd.DataFrame(index=pd.RangeIndex(seconds.max() + 1, name="s"))
    table["reference"] = aligned["reference_bpm"].groupby(seconds).first()
    for index, recording in enumerate(recordings):
        own = aligned["recording"] == recording
        one = aligned[own].set_index(seconds[own])
        difference = one["device_bpm"] - one["reference_bpm"]
        table[f"rate_{index}"] = one["device_bpm"]
        table[f"difference_{index}"] = difference.where(one["status"] == Status.COMPARED)
    return table


def doubted(aligned: pd.DataFrame) -> list[Span]:
    """Stretches of seconds since the first in which the reference is missing or not believed."""
    words = aligned["status"].astype(str)
    seconds = elapsed(aligned)
    against = words.isin(WORDS) | (words == Status.REFERENCE_SET_ASIDE)
    flags = np.zeros(seconds.max() + 1, dtype=bool)
    flags[seconds[against]] = True
    return spans_of(flags)


def apart(table: pd.DataFrame, doubted: Sequence[Span]) -> pd.DataFrame:
    """`table` with the reference's doubted seconds in a column of their own, which begins and
    ends at believed ones so that the two lines meet."""
    against = within(doubted, len(table))
    beside = within([(max(start - 1, 0), end + 1) for start, end in doubted], len(table))
    return table.assign(
        reference=table["reference"].mask(against), doubted=table["reference"].where(beside)
    )


def where_drawn(table: pd.DataFrame) -> pd.DataFrame:
    """Of a table of one column the rows with a value, and the one after each run of them, at which
    its line ends."""
    there = table.notna().to_numpy()[:, 0]
    drawn: pd.DataFrame = table[there | np.insert(there[:-1], 0, False)]
    return drawn


def elapsed(aligned: pd.DataFrame) -> Any:
    """Whole seconds since the first of the table."""
    since = aligned["time"] - aligned["time"].min()
    return since.dt.total_seconds().round().astype(int)


def thinned(table: pd.DataFrame, places: int = PLACES) -> pd.DataFrame:
    """No more rows than can be seen: where they are many, the lowest and highest values of the
    seconds that lie in one place, in the order in which a line goes there, up or down."""
    if len(table) <= 2 * places:
        return table
    step = math.ceil(len(table) / places)
    groups = table.groupby(table.index // step)
    low, high, falls = groups.min(), groups.max(), groups.last() < groups.first()
    begun, ended = low.mask(falls, high), high.mask(falls, low)
    begun.index, ended.index = begun.index * step, ended.index * step + step // 2
    return pd.concat([begun, ended]).sort_index().rename_axis("s")


def records(table: pd.DataFrame) -> list[dict[str, Any]]:
    """The rows with numbers written short."""
    columns = [map(number, table[name].tolist()) for name in table.columns]
    rows = zip(table.index.tolist(), *columns, strict=True)
    names = ["s", *table.columns]
    return [dict(zip(names, row, strict=True)) for row in rows]


def tens(table: pd.DataFrame) -> tuple[int, int]:
    """The whole tens that enclose every value; 0 and 10 where there is none."""
    values = table.to_numpy(float)
    if not np.isfinite(values).any():
        return 0, 10
    low, high = math.floor(np.nanmin(values) / 10), math.ceil(np.nanmax(values) / 10)
    return low * 10, max(high, low + 1) * 10
