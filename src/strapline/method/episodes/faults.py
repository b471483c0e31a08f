"""How much of the time a device is not right over many sessions, and in which way."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.tables.archive import FAULTS
from strapline.ground.vocabulary import ANY_KIND, Fault
from strapline.method.agreement.interval import UNKNOWN, Interval, t_quantile
from strapline.method.agreement.means import StratumMean, mean_over_strata
from strapline.method.agreement.session_table import by_activity, stated_wearers
from strapline.method.episodes import kinds

if TYPE_CHECKING:
    from strapline.ground.settings import OverAll

OWNER = ["session", "wearer", "activity", "device"]
HOUR_MIN = 60


def faults(
    episodes: pd.DataFrame, courses: pd.DataFrame, back_s: int, over_all: OverAll
) -> pd.DataFrame:
    """A frame under FAULTS from the archive's EPISODES and COURSES.

    After an episode a device has come back if it is on track for `back_s` before the next one
    or the session's end. What a device never did has rows too, of no episode. Lateness has a row,
    and is no part of ANY_KIND.
    """
    rows = []
    seconds = fault_seconds(episodes, courses)
    episodes = episodes.astype(dict.fromkeys([*OWNER, "recording", "kind"], str))
    for (device, activity), own in by_activity(seconds, ["device"], over_all):
        of_device = episodes[episodes["device"] == device]
        of_device = of_device[of_device["activity"].isin(own["done"])]
        names = {
            "device": device,
            "activity": activity,
            "sessions": len(own),
            "wearers": stated_wearers(own),
            "minutes": float(own["judged_s"].sum()) / 60,
        }
        by_done = [part for _, part in own.groupby("done", sort=True)]
        for kind in (ANY_KIND, *kinds.in_order()):
            is_any = kind == ANY_KIND
            cases = that_count(of_device) if is_any else of_device[of_device["kind"] == kind]
            value, interval = minutes_per_hour(by_done, kind)
            rows.append(
                names
                | {
                    "kind": kind,
                    "sessions_looked_for": int(own[kind].notna().sum()),
                    "sessions_with": int((own[kind] > 0).sum()),
                    "minutes_per_hour": value,
                    "low": interval.low,
                    "high": interval.high,
                }
                | _cases(cases, back_s)
            )
    return FAULTS.from_rows(rows)


def fault_seconds(episodes: pd.DataFrame, courses: pd.DataFrame) -> pd.DataFrame:
    """One row a session and device: OWNER, `judged_s`, a column of seconds a kind, and ANY_KIND.

    Judged is what was on track or in an episode. A kind has the seconds of the spans that it is
    most of and of what stands out as it, so that kinds may add up to more than any. A kind that
    could not be looked for is NaN. Recordings of one device in one session are averaged, for they
    are no two sessions.
    """
    keys = [*OWNER, "recording"]
    spent = episodes.astype(dict.fromkeys([*keys, "kind"], str))
    spent = spent.assign(s=spent["end_s"] - spent["start_s"])
    of_kinds = spent.pivot_table(index=keys, columns="kind", values="s", aggfunc="sum")
    own = courses.astype(dict.fromkeys(keys, str)).set_index(keys)
    table = of_kinds.reindex(index=own.index, columns=kinds.in_order()).fillna(0.0)
    # What was found was looked for, whatever the recording's spacing allows elsewhere.
    untested = own["not_testable"].map(lambda told: () if pd.isna(told) else json.loads(told))
    for kind in kinds.in_order():
        unknown = untested.map(lambda keys, kind=kind: kind in keys).astype(bool)
        table[kind] = table[kind].mask(unknown & (table[kind] == 0))
    table[ANY_KIND] = that_count(spent).groupby(keys)["s"].sum().reindex(own.index, fill_value=0.0)
    table["judged_s"] = (own["episodes_s"] + own["on_track_s"]).astype(float)
    return table.groupby(level=OWNER).mean().reset_index()


def that_count(episodes: pd.DataFrame) -> pd.DataFrame:
    """Those under EPISODES that count as faults: spans, and what stands out in one that is late.

    Lateness counts as none, for where nothing tells a device's clock it may be the clock's, and a
    device whose file tells its clock must not be the worse for that.
    """
    is_late = episodes["kind"].astype(str) == Fault.SLOW_TO_FOLLOW
    place = ["session", "recording", "start_s"]
    late = pd.MultiIndex.from_frame(episodes.loc[is_late, place].astype(str))
    parent = episodes[["session", "recording", "part_of_s"]].astype({"part_of_s": "Int64"})
    in_late = pd.MultiIndex.from_frame(parent.astype(str)).isin(late)
    return episodes[~is_late & (episodes["part_of_s"].isna() | in_late)]


def minutes_per_hour(parts: Sequence[pd.DataFrame], kind: str) -> tuple[float, Interval]:
    """Of an hour judged, with a 95 % interval from sessions as units.

    parts: rows of `fault_seconds`, one frame an activity. At one activity the ratio of the
    sums, its error by linearisation (Cochran 1977, Sampling Techniques, chapter 6, from
    memory); over several, their mean. The interval is of its logarithm, with quantiles of t,
    for such ratios are skewed; `tests/benchmarks/fault_rates.py` prints what it holds. NaN for
    one session, for what never occurred, for what could never be looked for, and where the
    interval would end beyond the hour.
    """
    parts = [known for part in parts if len(known := part[part[kind].notna()])]
    if not parts:
        return math.nan, UNKNOWN
    strata = [
        StratumMean(len(part), *_ratio(part[kind].to_numpy(), part["judged_s"].to_numpy()))
        for part in parts
    ]
    over = mean_over_strata(strata)
    value = HOUR_MIN * over.mean
    if value == 0 or math.isnan(over.error):
        return value, UNKNOWN
    factor = math.exp(t_quantile(over.freedom) * over.error / over.mean)
    possible = value * factor <= HOUR_MIN
    return value, Interval(value / factor, value * factor) if possible else UNKNOWN


def _ratio(seconds: np.ndarray, judged_s: np.ndarray) -> tuple[float, float]:
    """The ratio of the sums and its standard error, NaN for one session."""
    ratio = float(seconds.sum() / judged_s.sum())
    sessions = seconds.size
    if sessions < 2:
        return ratio, math.nan
    left = seconds - ratio * judged_s
    variance = float(left @ left) * sessions / (sessions - 1)
    return ratio, math.sqrt(variance) / float(judged_s.sum())


def _cases(cases: pd.DataFrame, back_s: int) -> dict[str, Any]:
    lengths = cases["end_s"] - cases["start_s"]
    known = cases["mean_error_bpm"].notna()
    sizes = cases.loc[known, "mean_error_bpm"].abs()
    return {
        "episodes": len(cases),
        "median_length_s": float(lengths.median()) if len(cases) else math.nan,
        "mean_error_bpm": float(np.average(sizes, weights=lengths[known])) if len(sizes) else None,
        "came_back": int((cases["on_track_after_s"] >= back_s).sum()),
    }
