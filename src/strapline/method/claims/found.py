"""FINDINGS of one device at one activity, statistic by statistic."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.ground.words import bpm, counted, listed, number, sessions_at
from strapline.method.agreement.head_to_head import ALPHA
from strapline.method.claims.claim import Ground
from strapline.method.claims.device_claims import Bias
from strapline.method.metrics.value import Value

MISSING = Value(math.nan)
# Activities of a bias that depends on them.
MOST_NAMED = 3

Row = dict[Any, Any]
Groups = Mapping[tuple[str, str], Mapping[str, tuple[Value, Ground]]]


@dataclass(frozen=True)
class Found:
    """FINDINGS of one device at one activity."""

    device: str
    activity: str
    values: dict[str, tuple[Value, Ground]]
    # The bias at each of the device's activities, the furthest from 0 first, in words.
    each: str

    def value(self, statistic: str) -> Value:
        """The statistic; missing (NaN) where the table does not have it."""
        return self.values[statistic][0] if self.has(statistic) else MISSING

    def ground(self, statistic: str) -> Ground:
        return self.values[statistic][1]

    def has(self, statistic: str) -> bool:
        return statistic in self.values

    @property
    def bias(self) -> Bias:
        return Bias(
            self.value("bias"),
            self.value("bias_p").value,
            self.value("bias_over_wearers"),
            self.value("bias_over_wearers_p").value,
            self.value("bias_next_session"),
            self.value("bias_furthest"),
            self.value("failing"),
        )

    def depends(self, margin_bpm: float) -> bool:
        """Whether activities differ by so much that their mean is no property of the device: by
        more than chance makes them as far as that is known, and by the margin or more, or by more
        than a mean that would be claimed."""
        apart, p = self.value("bias_apart").value, self.value("bias_apart_p").value
        claimed = self.bias.shown and p < ALPHA
        most_bpm = min(margin_bpm, abs(self.bias.these.value)) if claimed else margin_bpm
        return apart >= most_bpm and not p >= ALPHA


def all_found(findings: pd.DataFrame) -> list[Found]:
    """Of a frame under FINDINGS: over all activities first, then activity by activity."""
    words = ["device", "activity", "statistic"]
    groups: dict[tuple[str, str], dict[str, tuple[Value, Ground]]] = {}
    for row in findings.astype(dict.fromkeys(words, str)).to_dict("records"):
        values = groups.setdefault((row["activity"], row["device"]), {})
        value = Value(row["value"], row["low"], row["high"])
        values[row["statistic"]] = value, ground_of(row, row["sessions"])
    found = [
        Found(
            device,
            activity,
            groups[activity, device],
            _each(groups, device) if is_all(activity) else "",
        )
        for activity, device in sorted(groups, key=lambda key: (not is_all(key[0]), key))
    ]
    return [each for each in found if each.has("bias")]


def _each(groups: Groups, of: str) -> str:
    """'+7.8 bpm in 2 strength sessions and −0.2 bpm in one run session'; of many activities the two
    that are furthest from 0, and the range of the others."""
    own = [
        (activity, *values["bias"])
        for (activity, device), values in groups.items()
        if device == of and not is_all(activity) and "bias" in values
    ]
    own.sort(key=lambda row: (-abs(row[1].value), row[0]))
    named = own if len(own) <= MOST_NAMED else own[: MOST_NAMED - 1]
    parts = [
        f"{bpm(bias.value, True)} in {sessions_at(ground.sessions, activity)}"
        for activity, bias, ground in named
    ]
    if others := own[len(named) :]:
        low, *_, high = sorted(bias.value for _, bias, _ in others)
        sessions = counted(sum(ground.sessions for *_, ground in others), "other session")
        parts.append(f"{number(low, True)} to {bpm(high, True)} in {sessions}")
    return listed(parts)


def is_all(activity: str) -> bool:
    return activity == ALL_ACTIVITIES


def ground_of(row: Row, sessions: int) -> Ground:
    return Ground(int(sessions), int(row["wearers"]), float(row["minutes"]))
