"""Whether a session of a device counts in what is said over sessions.

One of a minute or two would else weigh as much as one of an hour. What is asked for is time and
readings, never a small error: a device that fails for half of a session still repeats itself in
more than two stretches, so that no session is left out for what the device did.
"""

import pandas as pd

from strapline.ground.vocabulary import Scope
from strapline.ground.words import lasting

FEWEST_VOTING_S = 300
# Stretches that do not repeat each other; never more than a device gave readings.
FEWEST_STRETCHES = 2
KEYS = ["session", "recording", "alignment"]


def votes(metrics: pd.DataFrame) -> pd.Series:
    """Which rows of METRICS are figures that vote: bool, by the index of `metrics`."""
    whole = metrics[(metrics["metric"] == "effective_n") & (metrics["scope"] == Scope.WHOLE)]
    enough = whole.loc[whole["value"] >= FEWEST_STRETCHES, KEYS].astype(str)
    of = pd.MultiIndex.from_frame(metrics[KEYS].astype(str))
    long_enough: pd.Series = metrics["n"] >= FEWEST_VOTING_S
    return long_enough & of.isin(pd.MultiIndex.from_frame(enough))


def that_count(table: pd.DataFrame, placements: pd.DataFrame) -> pd.DataFrame:
    """The rows of recordings that count in what is said over sessions. `table` has session and
    recording; `placements` as under PLACEMENTS."""
    keys = ["session", "recording"]
    not_counted = placements.loc[placements["not_counted"].notna(), keys].astype(str)
    of = pd.MultiIndex.from_frame(table[keys].astype(str))
    return table[~of.isin(pd.MultiIndex.from_frame(not_counted))]


def why_not(label: str, seconds: float) -> str:
    """Why a recording of which so many seconds were compared does not vote."""
    if seconds < FEWEST_VOTING_S:
        return (
            f"Only {lasting(seconds)} of {label} could be compared. A session counts from "
            f"{lasting(FEWEST_VOTING_S)} on."
        )
    return f"{label} gave too few readings for the session to count."


def why_fitted_does_not(label: str) -> str:
    """Why one whose clock heart rate set counts in nothing over sessions."""
    return f"Heart rate alone set the clock of {label}, which flatters it."
