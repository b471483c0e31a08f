"""Intervals that leave what heart rates can differ by, and so say nothing: they are taken out."""

import pandas as pd

ENDS = (("low", "high"), ("balanced_low", "balanced_high"))


def possible(table: pd.DataFrame, most_bpm: float) -> pd.DataFrame:
    """`table` with no interval in bpm of which an end is further from 0 than `most_bpm`."""
    in_bpm = table["unit"].astype(str) == "bpm"
    for ends in ENDS:
        if set(ends) <= set(table.columns):
            beyond = in_bpm & (table[list(ends)].abs() > most_bpm).any(axis="columns")
            table = table.assign(**{end: table[end].mask(beyond) for end in ends})
    return table
