"""What the archive's statistics say, for the pages: claims in words, then rows of figures."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from strapline.ground.settings import Claims, Criteria, Equivalence, OverAll, Tolerance
from strapline.ground.tables.archive import called
from strapline.ground.vocabulary import Strength, Verdict
from strapline.ground.words import tolerance_words
from strapline.method.agreement.findings import RATES_BPM
from strapline.method.agreement.reference_error import REFERENCE_ERROR
from strapline.method.claims import device_claims as say
from strapline.method.claims.claim import Claim, apart_from_zero
from strapline.method.claims.duels import Duel, duel_claim
from strapline.method.claims.found import Found, Row, all_found, ground_of, is_all
from strapline.method.metrics.value import Value


@dataclass(frozen=True)
class Policy:
    """The settings that decide what may be said."""

    claims: Claims
    criteria: Criteria
    equivalence: Equivalence
    tolerance: Tolerance
    over_all: OverAll

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
        return all_found(self.findings)

    def claims_by_activity(self, labels: Mapping[Any, str]) -> list[tuple[str, list[Claim]]]:
        """Everything that is said of the devices, activity by activity."""
        return [
            (found.activity, [claim for _, claim in claims])
            for found, claims in self.named_claims(labels)
        ]

    def named_claims(
        self, labels: Mapping[Any, str]
    ) -> Iterator[tuple[Found, list[tuple[str, Claim]]]]:
        """The same, each claim with the statistic it is about."""
        for found in self.found():
            yield found, list(_claims(found, labels, self.policy))

    def finding_rows(self, labels: Mapping[Any, str]) -> list[dict[str, Any]]:
        """The figures behind the claims, a row a device and activity."""
        return [
            {
                "activity": found.activity,
                "device": found.device,
                "label": called(labels, found.device, found.activity),
                "ground": found.ground("bias"),
                "verdict": (verdict := _bias(found, labels, self.policy).verdict),
                "each": found.each if found.depends(self.policy.equivalence.margin_bpm) else "",
                "alone": verdict == Verdict.NOT_YET and apart_from_zero(found.value("bias")),
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

    def duel_rows(self, labels: Mapping[Any, str]) -> list[dict[str, Any]]:
        """Each pair of devices at each activity, with what may be said of it."""
        found = []
        for (activity, device_a, device_b), row in _rows(
            self.comparisons[self.comparisons["sessions"] > 0], ["activity", "device_a", "device_b"]
        ):
            duel = _duel(row, labels)
            claim = duel_claim(duel, self.policy.claims, self.policy.criteria_met["met_within"])
            told = {"activity": activity, "device_a": device_a, "device_b": device_b}
            found.append(told | {"duel": duel, "claim": claim})
        return found

    def reference_claims(self, labels: Mapping[Any, str]) -> list[Claim]:
        """How large each strap's own random error may be, activity by activity."""
        own = self.findings[self.findings["statistic"] == REFERENCE_ERROR]
        return [
            say.reference_claim(
                called(labels, row["device"], str(row["activity"])),
                str(row["activity"]),
                ground_of(row, row["sessions"]),
                Value(row["value"], row["low"], row["high"]),
                self.policy.claims,
            )
            for row in own.sort_values(["activity", "device"]).to_dict("records")
        ]

    def firmwares(self) -> dict[str, list[str]]:
        """Those of each device that was compared with several, in the order they came."""
        names = self.firmware[["device", "firmware_before", "firmware_after"]].astype(str)
        return {
            str(device): list(dict.fromkeys(own.iloc[:, 1:].to_numpy().ravel()))
            for device, own in names.groupby("device")
        }

    def firmware_claims(self, labels: Mapping[Any, str]) -> list[Claim]:
        """How the error changed with each firmware, over all activities."""
        keys = ["activity", "device", "firmware_before", "firmware_after"]
        return [
            say.firmware_claim(
                called(labels, device, activity),
                (before, after),
                ground_of(row, min(row["sessions_before"], row["sessions_after"])),
                Value(row["change"], row["low"], row["high"]),
                self.policy.claims,
            )
            for (activity, device, before, after), row in _rows(self.firmware, keys)
            if is_all(activity)
        ]


def _rows(table: pd.DataFrame, keys: list[str]) -> Iterator[tuple[tuple[str, ...], Row]]:
    """Rows of the mean absolute error by `keys`, all activities first."""
    own = table[table["metric"] == "mae"].astype(dict.fromkeys(keys, str))
    found = {tuple(row[key] for key in keys): row for row in own.to_dict("records")}
    for names in sorted(found, key=lambda names: (not is_all(names[0]), names)):
        yield names, found[names]


def _bias(found: Found, labels: Mapping[Any, str], policy: Policy) -> Claim:
    label, ground = called(labels, found.device, found.activity), found.ground("bias")
    margin_bpm = policy.equivalence.margin_bpm
    if found.depends(margin_bpm):
        p = found.value("bias_apart_p").value
        return say.depends_claim(label, ground, found.each, p, policy.claims)
    return say.bias_claim(label, ground, found.bias, margin_bpm, policy.claims)


def _claims(found: Found, labels: Mapping[Any, str], policy: Policy) -> Iterator[tuple[str, Claim]]:
    label, claims = called(labels, found.device, found.activity), policy.claims
    bias = _bias(found, labels, policy)
    yield "bias", bias
    if found.ground("bias").strength(claims) == Strength.DID:
        return
    is_one = not found.depends(policy.equivalence.margin_bpm)
    if is_one and found.has("bias_over_wearers"):
        on_others = say.wearers_claim(
            label,
            found.ground("bias_over_wearers"),
            found.value("bias_over_wearers"),
            found.value("bias_over_wearers_p").value,
            found.value("bias_next_wearer"),
            claims,
        )
        yield "bias_over_wearers", on_others
    if found.has("limit_lower"):
        yield "limits", _limits(found, label, claims)
    if found.has("slope") and found.value("slope").known:
        ground, p = found.ground("slope"), found.value("slope_p").value
        yield "slope", say.slope_claim(label, ground, found.value("slope"), p, claims)
    for statistic, criterion in policy.criteria_met.items():
        if found.has(statistic):
            told = say.criterion_claim(
                label,
                criterion,
                found.ground(statistic),
                found.value(statistic),
                found.value(f"{statistic}_over_wearers"),
                claims,
            )
            yield statistic, told
    if not is_one or bias.verdict == Verdict.BELOW_MARGIN or not found.value("equivalence").known:
        # That says more than a test of equivalence does; or there is none, nor a mean to test.
        return
    yield "equivalence", _equivalence(found, label, policy)


def _limits(found: Found, label: str, claims: Claims) -> Claim:
    at_rates = {
        rate: (found.value(f"limit_lower_at_{rate}"), found.value(f"limit_upper_at_{rate}"))
        for rate in RATES_BPM
        if found.has(f"limit_lower_at_{rate}")
    }
    return say.limits_claim(
        label,
        found.ground("limit_lower"),
        found.value("limit_lower"),
        found.value("limit_upper"),
        (found.value("seconds_lower").value, found.value("seconds_upper").value),
        found.value("failing"),
        claims,
        at_rates,
    )


def _equivalence(found: Found, label: str, policy: Policy) -> Claim:
    test = policy.equivalence
    return say.equivalence_claim(
        label,
        test.margin_bpm,
        test.alpha,
        found.ground("equivalence"),
        found.value("equivalence"),
        found.value("equivalence_over_wearers"),
        found.value("bias_furthest"),
        policy.claims,
    )


def _duel(row: Row, labels: Mapping[Any, str]) -> Duel:
    return Duel(
        label_a=called(labels, row["device_a"], str(row["activity"])),
        label_b=called(labels, row["device_b"], str(row["activity"])),
        ground=ground_of(row, row["sessions"]),
        difference=Value(row["difference"], row["low"], row["high"]),
        balanced=Value(row["balanced"], row["balanced_low"], row["balanced_high"]),
        p=row["p_family"],
        people_p=row["people_p_family"],
        pairs=int(row["pairs"]),
        sessions_needed=int(row["sessions_needed"]),
        failed_a=int(row["failed_a"]),
        failed_b=int(row["failed_b"]),
        closer=Value(100 * row["closer"], 100 * row["closer_low"], 100 * row["closer_high"]),
        a_left=int(row["a_left"]),
        a_right=int(row["a_right"]),
    )
