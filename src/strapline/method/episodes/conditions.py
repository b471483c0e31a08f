"""Whether a device is not right for longer under one condition than under another.

Sessions are compared at the same activity, for what is worn tight may be worn so for lifting.
They were not drawn by lot: a difference is described, and is no cause.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.tables.archive import CONDITIONS
from strapline.ground.vocabulary import ANY_KIND, PLACEMENT, UNSTATED, Placement, root
from strapline.method.agreement.head_to_head import holm
from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.method.agreement.resampling import generator
from strapline.method.agreement.session_table import stated_wearers

if TYPE_CHECKING:
    from strapline.ground.settings import Grounds

# A text that only one session has is a remark and no condition.
FEWEST_ALIKE = 2
DRAWS = 9_999
# Thousands of sessions in all draws would fill the memory.
DRAWS_AT_ONCE = 1_000


@dataclass(frozen=True)
class Contrast:
    """Two values of a condition, and whether each row of the table given is on side A, not B."""

    condition: str
    value_a: str
    value_b: str
    a: pd.Series


def stated_conditions(placements: pd.DataFrame, sessions: pd.DataFrame) -> pd.DataFrame:
    """`session`, `device`, `condition`, `value`: what the cards say, and where a device sat.

    From PLACEMENTS and SESSIONS; not where a device sat in sessions in which it was worn twice.
    """
    told = sessions[["session", "conditions"]].dropna()
    stated = {str(session): json.loads(text) for session, text in told.itertuples(index=False)}
    once = ~placements.duplicated(["session", "device"], keep=False)
    columns = placements[["session", "device", "placement"]].astype(str)
    rows: list[tuple[str, str, str, Any]] = []
    for (session, device, placement), alone in zip(columns.to_numpy().tolist(), once, strict=True):
        known = dict(stated.get(session, {}))
        if placement != Placement.OTHER and alone:
            known[PLACEMENT] = placement
        rows += [(session, device, condition, value) for condition, value in known.items()]
    found = pd.DataFrame(rows, columns=["session", "device", "condition", "value"])
    return found.drop_duplicates(["session", "device", "condition"])


def conditions(seconds: pd.DataFrame, stated: pd.DataFrame, least: Grounds) -> pd.DataFrame:
    """A frame under CONDITIONS from `fault_seconds` and `stated_conditions`.

    Sides that do not reach `least` are counted and no more.
    """
    rows = []
    for device, own in seconds.groupby("device", sort=True):
        table = own.set_index("session", drop=False)
        said = stated[stated["device"] == device].set_index("session")
        for contrast in _contrasts(stated, said):
            row = _compared(table, contrast, least, f"{device} {root(contrast.condition)}")
            rows += [{"device": device, **row}] if row else []
    found = CONDITIONS.from_rows(rows)
    found["p_family"] = holm(found["p"].to_numpy(float))
    return found


def _contrasts(stated: pd.DataFrame, own: pd.DataFrame) -> Iterator[Contrast]:
    """Of every condition; where numbers part, and which words count, is the archive's."""
    for name, all_rows in stated.groupby("condition", sort=True):
        once = all_rows.drop_duplicates("session")["value"]
        mine = own.loc[own["condition"] == name, "value"]
        if all(isinstance(v, int | float) and not isinstance(v, bool) for v in once):
            yield from _by_number(str(name), once.astype(float), mine.astype(float))
        else:
            worded = all_rows["value"] if name == PLACEMENT else once
            yield from _by_word(str(name), worded.map(_word), mine.map(_word))


def _by_number(name: str, values: pd.Series, mine: pd.Series) -> Iterator[Contrast]:
    """Above the median and up to it; where that leaves nothing above, the highest apart."""
    if values.nunique() < 2:
        return
    cut = values.median()
    if cut == values.max():
        cut = values[values < cut].max()
    yield Contrast(name, f"above {cut:g}", f"up to {cut:g}", mine > cut)


def _by_word(name: str, values: pd.Series, mine: pd.Series) -> Iterator[Contrast]:
    """Each word that several sessions share, and all others; two words make one contrast."""
    counts = values.value_counts()
    shared = sorted(counts[counts >= FEWEST_ALIKE].index)
    if len(counts) == 2 and shared:
        first, second = sorted(counts.index)
        yield Contrast(name, first, second, mine == first)
    elif len(counts) > 1:
        for word in shared:
            yield Contrast(name, word, f"not {word}", mine == word)


def _word(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " ".join(str(value).split()).casefold()


def _compared(
    table: pd.DataFrame, contrast: Contrast, least: Grounds, seed: str
) -> dict[str, Any] | None:
    """None where a device has no session on one of the sides at all."""
    known = table[table.index.isin(contrast.a.index)]
    on_a = contrast.a.reindex(known.index).to_numpy(bool)
    if on_a.all() or not on_a.any():
        return None
    mixed = known.assign(a=on_a).groupby("activity")["a"].transform(lambda a: 0 < a.mean() < 1)
    kept, on_a = known[mixed.to_numpy(bool)], on_a[mixed.to_numpy(bool)]
    sides = kept[on_a], kept[~on_a]
    wearers = [stated_wearers(side) for side in sides]
    minutes = [float(side["judged_s"].sum()) / 60 for side in sides]
    row: dict[str, Any] = {
        "condition": contrast.condition,
        "value_a": contrast.value_a,
        "value_b": contrast.value_b,
        "sessions_a": len(sides[0]),
        "sessions_b": len(sides[1]),
        "wearers": min(wearers),
        "minutes": min(minutes),
        "confounded": not set.intersection(*(set(side["wearer"]) for side in sides)) - {UNSTATED},
    }
    if all(
        least.met_by(len(side), worn, time)
        for side, worn, time in zip(sides, wearers, minutes, strict=True)
    ):
        rates = (60 * kept[ANY_KIND] / kept["judged_s"]).to_numpy(float)
        activity = kept["activity"].to_numpy(str)
        difference, interval = difference_within(rates, on_a, activity)
        p = permutation_p(rates, on_a, activity, f"{seed} {contrast.value_a}")
        row |= {"difference": difference, "low": interval.low, "high": interval.high, "p": p}
    return row


def difference_within(
    values: np.ndarray, on_a: np.ndarray, stratum: np.ndarray
) -> tuple[float, Interval]:
    """The mean of A minus that of B within strata, all of shape (sessions,).

    Least squares with a level for each stratum (Frisch & Waugh 1933, Econometrica 1:387-401,
    from memory); 95 % interval by t, NaN without a degree of freedom. Each stratum must have
    sessions on both sides.
    """
    side, level = _centred(on_a.astype(float), stratum), _centred(values, stratum)
    squares = float(side @ side)
    difference = float(side @ level) / squares
    freedom = values.size - np.unique(stratum).size - 1
    if freedom < 1:
        return difference, UNKNOWN
    left = level - difference * side
    error = math.sqrt(float(left @ left) / freedom / squares)
    return difference, around(difference, t_quantile(freedom) * error)


def permutation_p(values: np.ndarray, on_a: np.ndarray, stratum: np.ndarray, name: str) -> float:
    """How often a difference as large comes about if, within strata, sides are dealt by lot.

    Fisher 1935, The Design of Experiments; the observed deal is counted in (Phipson & Smyth
    2010, Stat Appl Genet Mol Biol 9:39). Random numbers depend on `name`. Each stratum must have
    sessions on both sides.
    """
    level, random = _centred(values, stratum), generator(name)
    sums = np.zeros(DRAWS)
    for each in np.unique(stratum):
        inside = stratum == each
        last = np.count_nonzero(on_a[inside]) - 1
        for some in range(0, DRAWS, DRAWS_AT_ONCE):
            lots = random.random((min(DRAWS_AT_ONCE, DRAWS - some), np.count_nonzero(inside)))
            # As many as are on side A, those with the lowest lots: sooner found than shuffled.
            dealt = lots <= np.partition(lots, last, axis=1)[:, last, None]
            sums[some : some + DRAWS_AT_ONCE] += dealt @ level[inside]
    observed = abs(float(on_a.astype(float) @ level))
    reached = observed - 1e-9 * float(np.abs(level).sum())
    return (float(np.count_nonzero(np.abs(sums) >= reached)) + 1) / (DRAWS + 1)


def _centred(values: np.ndarray, stratum: np.ndarray) -> np.ndarray:
    _, place = np.unique(stratum, return_inverse=True)
    means = np.bincount(place, values) / np.bincount(place)
    centred: np.ndarray = values - means[place]
    return centred
