"""What is published over all sessions."""

from collections.abc import Iterator, Mapping
from typing import Any

import pandas as pd

from strapline.ground.tables.editions import PUBLISHED
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.keeping.editions.published import REALS, WORDS, in_order, part
from strapline.method.claims.claim import Claim
from strapline.method.claims.evidence import Evidence


def of_archive(
    evidence: Evidence,
    standings: pd.DataFrame,
    sessions: pd.DataFrame,
    faults: pd.DataFrame,
    conditions: pd.DataFrame,
    labels: Mapping[Any, str],
) -> pd.DataFrame:
    """What is said over all sessions, and which there are: a frame under PUBLISHED, in order of
    its keys; `labels` names devices by their id."""
    return in_order(
        *_of_standings(standings),
        part("findings", evidence.findings, evidence.findings["statistic"], *REALS),
        *_of_comparisons(evidence.comparisons),
        _of_firmware(evidence.firmware),
        part("sessions", sessions, "minutes", "minutes", unit="min", activity=""),
        part("sessions", sessions, "set_aside", wording="set_aside", activity=""),
        _of_faults(faults),
        _of_conditions(conditions),
        PUBLISHED.from_rows(_claims(evidence, labels)),
    )


def _of_standings(table: pd.DataFrame) -> Iterator[pd.DataFrame]:
    names = table["metric"].astype(str)
    yield part("standings", table, "mean_" + names, "mean")
    yield part("standings", table, "median_" + names, "median", "lowest", "highest")


def _of_comparisons(table: pd.DataFrame) -> Iterator[pd.DataFrame]:
    metric = table["metric"].astype(str)
    table = table.rename(columns={"device_a": "device", "device_b": "against"})
    for figure, low, high, unit in (
        ("difference", "low", "high", table["unit"]),
        ("balanced", "balanced_low", "balanced_high", table["unit"]),
        ("closer", "closer_low", "closer_high", "1"),
        ("p_family", None, None, "1"),
    ):
        yield part("comparisons", table, f"{figure}_" + metric, figure, low, high, unit=unit)


def _of_firmware(table: pd.DataFrame) -> pd.DataFrame:
    figure = "change_" + table["metric"].astype(str)
    return part("firmware", table, figure, "change", "low", "high", against=_versions(table))


def _of_faults(table: pd.DataFrame) -> pd.DataFrame:
    value = "minutes_per_hour"
    figure = f"{value}_" + table["kind"].astype(str)
    return part("faults", table, figure, value, "low", "high", unit="min/h")


def _of_conditions(table: pd.DataFrame) -> pd.DataFrame:
    figure = table["condition"] + ": " + table["value_a"] + " − " + table["value_b"]
    return part("conditions", table, figure, "difference", "low", "high", unit="min/h")


def _versions(table: pd.DataFrame) -> pd.Series:
    return table["firmware_before"] + " → " + table["firmware_after"]


def _claims(evidence: Evidence, labels: Mapping[Any, str]) -> list[dict[str, str]]:
    """What the report says of devices in general, a row a sentence."""
    rows = []
    for found, claims in evidence.named_claims(labels):
        for name, claim in claims:
            rows.append(_claim(claim, device=found.device, activity=found.activity, figure=name))
    for row in evidence.duel_rows(labels):
        pair = {"device": row["device_a"], "against": row["device_b"]}
        rows.append(_claim(row["claim"], **pair, activity=row["activity"], figure="closer"))
    for (device, versions), own in evidence.firmware.groupby(
        [evidence.firmware["device"].astype(str), _versions(evidence.firmware)]
    ):
        alone = Evidence(
            evidence.findings[:0], evidence.comparisons[:0], own, evidence.policy
        ).firmware_claims(labels)
        keys = {"device": str(device), "against": str(versions), "figure": "change"}
        rows += [_claim(claim, **keys, activity=ALL_ACTIVITIES) for claim in alone]
    return rows


def _claim(claim: Claim, **keys: str) -> dict[str, str]:
    return {**dict.fromkeys(WORDS, ""), "place": "claims", **keys, "wording": claim.sentence}
