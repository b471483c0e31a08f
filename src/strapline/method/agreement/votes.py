"""Whether a session of a device counts in what is said over sessions.

One of a minute or two would else weigh as much as one of an hour. What is asked for is time and
readings, never a small error: a device that fails for half of a session still repeats itself in
more than two stretches, so that no session is left out for what the device did.
"""

from collections.abc import Iterable

import pandas as pd

from strapline.ground.records.described import Described
from strapline.ground.vocabulary import Clocks, Scope
from strapline.ground.words import lasting

FEWEST_VOTING_S = 300
# Stretches that do not repeat each other; never more than a device gave readings.
FEWEST_STRETCHES = 2
KEYS = ["session", "recording", "alignment"]
_FLATTERED = "Heart rate alone set the clock of {}, which flatters it."
# A session and its recording.
Recorded = tuple[str, str]


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


def left_out(figures: pd.DataFrame, sessions: Iterable[Described]) -> dict[Recorded, str]:
    """The recordings that were compared and count in nothing over sessions, each with the reason:
    what is said of devices, in whatever table, rests on the others. `figures` as under METRICS."""
    of_each = (figures["metric"] == "effective_n") & (figures["alignment"] == Clocks.SETTLED)
    own = figures[of_each & (figures["n"] > 0)]
    rows = own[["session", "recording", "n"]].assign(votes=votes(figures))
    compared = {(str(name), str(of)): (n, voting) for name, of, n, voting in rows.to_numpy()}
    found = {}
    for session in sessions:
        name, fitted = session.intake.session, session.alignment.fitted
        for entry in session.intake.tested:
            seconds, voting = compared.get((name, entry.recording), (0, True))
            if not voting:
                found[name, entry.recording] = why_not(entry.label, seconds)
            elif seconds and entry.recording in fitted:
                found[name, entry.recording] = _FLATTERED.format(entry.label)
    return found


def why_not(label: str, seconds: float) -> str:
    """Why a recording of which so many seconds were compared does not vote."""
    if seconds < FEWEST_VOTING_S:
        return (
            f"Only {lasting(seconds)} of {label} could be compared. A session counts from "
            f"{lasting(FEWEST_VOTING_S)} on."
        )
    return f"{label} gave too few readings for the session to count."
