"""Which seconds of a session a figure is about: all, a segment, or a band of effort."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.vocabulary import Scope, Status
from strapline.method.agreement.effort import EFFORT_BANDS, effort_bands, maximum_heart_rate

if TYPE_CHECKING:
    from strapline.ground.records.card import Body, Segment
    from strapline.ground.settings import Effort


def scopes(
    rows: pd.DataFrame,
    segments: tuple[Segment, ...],
    maximum: MaximumHeartRate | None,
    effort: Effort,
) -> Iterator[tuple[str, pd.DataFrame]]:
    """Each scope by name, with its rows (ALIGNED, one recording in one view).

    A band of effort with less than `effort.fewest_seconds` compared is left out.
    """
    yield Scope.WHOLE, rows
    elapsed = (rows["time"] - rows["time"].iloc[0]).dt.total_seconds()
    for segment in segments:
        inside = (elapsed >= segment.start) & (elapsed < segment.end)
        yield f"{Scope.SEGMENT}{segment.label}", rows[inside]
    if maximum is None:
        return
    band = effort_bands(rows["reference_bpm"].to_numpy(), maximum.bpm)
    for place, name in enumerate(EFFORT_BANDS):
        part = rows[band == place]
        compared = part["status"] == Status.COMPARED
        if compared.sum() >= effort.fewest_seconds:
            yield f"{Scope.INTENSITY}{name}", part


def session_maximum(aligned: pd.DataFrame, body: Body, effort: Effort) -> MaximumHeartRate | None:
    """The wearer's maximum heart rate: stated, else by age, else the highest rate of the
    reference in seconds that count. None where no second counts."""
    rates = aligned.loc[
        aligned["status"].isin([Status.COMPARED, Status.NO_DEVICE]), "reference_bpm"
    ]
    observed = float(np.max(rates.to_numpy(), initial=0))
    if observed <= 0:
        return None
    return maximum_heart_rate(body.maximum_bpm, body.age_years, observed, effort.formula)
