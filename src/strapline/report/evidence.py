"""What the archive's statistics say, for the pages: claims in words, then rows of figures."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from strapline.agreement.session_table import ALL_ACTIVITIES
from strapline.report import claims as say
from strapline.report.claims import Claim, Ground
from strapline.report.duels import Duel, duel_claim
from strapline.report.figures import Value
from strapline.report.words import tolerance_words
from strapline.settings import Claims, Criteria, Equivalence, Tolerance

HEADLINE = "aligned"


@dataclass(frozen=True)
class Policy:
    """The settings that decide what may be said."""

    claims: Claims
    criteria: Criteria
    equivalence: Equivalence
    tolerance: Tolerance

    @property
    def criteria_met(self) -> dict[str, str]:
        """Statistic of FINDINGS -> the criterion in words."""
        return {
            "met_mape": f"mean absolute error below {self.criteria.mape_below:g} %",
            "met_within": f"within {tolerance_words(self.tolerance)}, for at least "
            f"{self.criteria.time_within:g} % of the time",
            "met_concordance": f"concordance of at least {self.criteria.concordance:g}",
        }


@dataclass(frozen=True)
class Found:
    """FINDINGS of one device at one activity."""

    device: str
    activity: str
    values: dict[str, tuple[Value, Ground]]

    def value(self, statistic: str) -> Value:
        return self.values[statistic][0] if statistic in self.values else Value(float("nan"))

    def ground(self, statistic: str) -> Ground:
        return self.values[statistic][1]


@dataclass(frozen=True)
class Evidence:
    """FINDINGS, COMPARISONS and FIRMWARE, and the policy that decides what they may say."""

    findings: pd.DataFrame
    comparisons: pd.DataFrame
    firmware: pd.DataFrame
    policy: Policy

    def of_device(self, device: str) -> "Evidence":
        """What concerns one device alone."""
        own = self.findings[self.findings["device"] == device]
        changes = self.firmware[self.firmware["device"] == device]
        return Evidence(own, self.comparisons[:0], changes, self.policy)

    def found(self) -> list[Found]:
        """Over all activities first, then activity by activity."""
        own = self.findings[self.findings["alignment"] == HEADLINE]
        groups: dict[tuple[str, str], dict[str, tuple[Value, Ground]]] = {}
        for row in own.astype({"device": str, "activity": str}).to_dict("records"):
            values = groups.setdefault((row["activity"], row["device"]), {})
            value = Value(row["value"], row["low"], row["high"])
            values[row["statistic"]] = value, _ground(row, row["sessions"])
        return [
            Found(device, activity, groups[activity, device])
            for activity, device in sorted(groups, key=lambda key: (not _is_all(key[0]), key))
            if "bias" in groups[activity, device]
        ]

    def claims_by_activity(self, labels: Mapping[str, str]) -> list[tuple[str, list[Claim]]]:
        """Everything that is said of the devices, activity by activity."""
        return [(f.activity, list(_claims(f, labels, self.policy))) for f in self.found()]

    def finding_rows(self, labels: Mapping[str, str]) -> list[dict[str, Any]]:
        """The figures behind the claims, a row a device and activity."""
        return [
            {
                "activity": found.activity,
                "device": found.device,
                "label": labels.get(found.device, found.device),
                "ground": found.ground("bias"),
                "verdict": _bias(found, labels, self.policy).verdict,
                **{
                    name: found.value(name)
                    for name in (
                        "bias",
                        "bias_next_session",
                        "limit_lower",
                        "limit_upper",
                        "mape_median",
                        "mape_lowest",
                        "mape_highest",
                        *self.policy.criteria_met,
                    )
                },
            }
            for found in self.found()
        ]

    def duel_rows(self, labels: Mapping[str, str]) -> list[dict[str, Any]]:
        """Each pair of devices at each activity, with what may be said of it."""
        own = self.comparisons
        own = own[(own["alignment"] == HEADLINE) & (own["metric"] == "mae") & (own["sessions"] > 0)]
        rows = own.astype({"activity": str, "device_a": str, "device_b": str}).to_dict("records")
        rows.sort(key=lambda row: (not _is_all(row["activity"]), row["activity"]))
        found = []
        for row in rows:
            duel = _duel(row, labels)
            balanced = Value(row["balanced"], row["balanced_low"], row["balanced_high"])
            claim = duel_claim(duel, self.policy.claims)
            activity = row["activity"]
            told = {"activity": activity, "duel": duel, "claim": claim, "balanced": balanced}
            names = ("device_a", "device_b", "a_left", "a_right")
            found.append(told | {name: row[name] for name in names})
        return found

    def firmware_claims(self, labels: Mapping[str, str]) -> list[Claim]:
        """How the error changed with each firmware, over all activities."""
        own = self.firmware
        own = own[(own["alignment"] == HEADLINE) & (own["metric"] == "mae")]
        return [
            say.firmware_claim(
                labels.get(row["device"], row["device"]),
                (row["firmware_before"], row["firmware_after"]),
                _ground(row, min(row["sessions_before"], row["sessions_after"])),
                Value(row["change"], row["low"], row["high"]),
                self.policy.claims,
            )
            for row in own.to_dict("records")
            if _is_all(row["activity"])
        ]


def _is_all(activity: str) -> bool:
    return activity == ALL_ACTIVITIES


def _ground(row: Mapping[Any, Any], sessions: int) -> Ground:
    return Ground(int(sessions), int(row["wearers"]), float(row["minutes"]))


def _bias(found: Found, labels: Mapping[str, str], policy: Policy) -> Claim:
    return say.bias_claim(
        labels.get(found.device, found.device),
        found.ground("bias"),
        found.value("bias"),
        found.value("bias_next_session"),
        policy.claims,
    )


def _claims(found: Found, labels: Mapping[str, str], policy: Policy) -> Iterator[Claim]:
    label, claims = labels.get(found.device, found.device), policy.claims
    yield _bias(found, labels, policy)
    if found.ground("bias").strength(claims) == "did":
        return
    if "bias_over_wearers" in found.values:
        over = found.value("bias_over_wearers")
        yield say.wearers_claim(label, found.ground("bias_over_wearers"), over, claims)
    lower, upper = found.value("limit_lower"), found.value("limit_upper")
    yield say.limits_claim(label, found.ground("limit_lower"), lower, upper, claims)
    for statistic, criterion in policy.criteria_met.items():
        if statistic in found.values:
            share = found.value(statistic)
            yield say.criterion_claim(label, criterion, found.ground(statistic), share, claims)
    test = policy.equivalence
    yield say.equivalence_claim(
        label,
        test.margin_bpm,
        test.alpha,
        found.ground("equivalence"),
        found.value("equivalence"),
        claims,
    )


def _duel(row: Mapping[Any, Any], labels: Mapping[str, str]) -> Duel:
    return Duel(
        label_a=labels.get(row["device_a"], row["device_a"]),
        label_b=labels.get(row["device_b"], row["device_b"]),
        ground=_ground(row, row["sessions"]),
        difference=Value(row["difference"], row["low"], row["high"]),
        p_family=row["p_family"],
        sessions_needed=int(row["sessions_needed"]),
        closer=Value(100 * row["closer"], 100 * row["closer_low"], 100 * row["closer_high"]),
        confounded=row["confounded"],
    )
