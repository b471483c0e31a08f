"""Every published figure and sentence of the archive, as one tidy table."""

import hashlib
from collections.abc import Iterator, Mapping

import pandas as pd

from strapline.agreement.scopes import WHOLE
from strapline.agreement.session_table import ALL_ACTIVITIES
from strapline.provenance import canonical
from strapline.report.claims import Claim
from strapline.report.evidence import Evidence
from strapline.tables.editions import KEY_NAMES, PUBLISHED

# As many as a person compares; beyond lies what another machine or library may round otherwise.
DIGITS = 9

REALS = ("value", "low", "high")


def published(
    evidence: Evidence,
    standings: pd.DataFrame,
    sessions: pd.DataFrame,
    metrics: pd.DataFrame,
    sentences: pd.DataFrame,
    consequences: pd.DataFrame,
    faults: pd.DataFrame,
    conditions: pd.DataFrame,
    labels: Mapping[str, str],
) -> pd.DataFrame:
    """A frame under PUBLISHED, in order of its keys; `labels` names devices by their id."""
    parts = [
        *_of_standings(standings),
        _part("findings", evidence.findings, evidence.findings["statistic"], *REALS),
        *_of_comparisons(evidence.comparisons),
        _of_firmware(evidence.firmware),
        _part("sessions", sessions, "minutes", "minutes", unit="min", activity=""),
        _part("sessions", sessions, "set_aside", wording="set_aside", activity=""),
        _of_metrics(metrics),
        _of_sentences(sentences),
        _of_consequences(consequences),
        _of_faults(faults),
        _of_conditions(conditions),
        pd.DataFrame(_claims(evidence, labels)),
    ]
    rows = pd.concat([part for part in parts if len(part)] or [pd.DataFrame()], ignore_index=True)
    if rows.empty:
        return PUBLISHED.empty()
    rows = rows.reindex(columns=PUBLISHED.column_names)
    words = [*KEY_NAMES, "unit"]
    rows[words] = rows[words].fillna("")
    for name in REALS:
        rows[name] = [_to_digits(value) for value in rows[name].astype(float)]
    rows["wording"] = rows["wording"].astype(object).where(rows["wording"].notna(), None)
    told = rows["value"].notna() | rows["wording"].notna()
    ordered = rows[told].sort_values(KEY_NAMES, ignore_index=True)
    return PUBLISHED.frame({name: ordered[name] for name in PUBLISHED.column_names})


def mark_of(table: pd.DataFrame) -> str:
    """The fingerprint of a frame under PUBLISHED: the SHA-256 of all it says."""
    rows = table.astype(object).where(table.notna(), None).to_numpy().tolist()
    return hashlib.sha256(canonical(rows).encode()).hexdigest()


def _part(
    place: str,
    table: pd.DataFrame,
    figure: pd.Series | str,
    value: str | None = None,
    low: str | None = None,
    high: str | None = None,
    wording: str | None = None,
    unit: str = "",
    **named: pd.Series | str,
) -> pd.DataFrame:
    """Rows of PUBLISHED from the columns of `table` with these names."""
    keys = {name: table[name].astype(str) for name in KEY_NAMES if name in table}
    given = {"value": value, "low": low, "high": high, "wording": wording}
    values = {name: table[column] for name, column in given.items() if column}
    units = unit or (table["unit"].astype(str) if "unit" in table else "")
    names = figure if isinstance(figure, str) else figure.astype(str)
    rows = {**keys, "unit": units, **values, **named, "place": place, "figure": names}
    return pd.DataFrame(rows, index=table.index)


def _of_standings(table: pd.DataFrame) -> Iterator[pd.DataFrame]:
    names = table["metric"].astype(str)
    yield _part("standings", table, "mean_" + names, "mean")
    yield _part("standings", table, "median_" + names, "median", "lowest", "highest")


def _of_comparisons(table: pd.DataFrame) -> Iterator[pd.DataFrame]:
    metric = table["metric"].astype(str)
    table = table.rename(columns={"device_a": "device", "device_b": "against"})
    for figure, low, high, unit in (
        ("difference", "low", "high", ""),
        ("balanced", "balanced_low", "balanced_high", ""),
        ("closer", "closer_low", "closer_high", "1"),
        ("p_family", None, None, "1"),
    ):
        yield _part("comparisons", table, f"{figure}_" + metric, figure, low, high, unit=unit)


def _of_firmware(table: pd.DataFrame) -> pd.DataFrame:
    figure = "change_" + table["metric"].astype(str)
    return _part("firmware", table, figure, "change", "low", "high", against=_versions(table))


def _of_metrics(table: pd.DataFrame) -> pd.DataFrame:
    whole = table[table["scope"] == WHOLE]
    return _part("metrics", whole, whole["metric"], "value", "ci_low", "ci_high", activity="")


def _of_sentences(table: pd.DataFrame) -> pd.DataFrame:
    """What is said of a recording in one form, its sentences joined."""
    keys = ["session", "device", "recording", "form"]
    rows = table.astype(dict.fromkeys(keys, str)).sort_values([*keys, "place"])
    joined = rows.groupby(keys)["text"].agg(" ".join).reset_index()
    return _part("sentences", joined, joined["form"], wording="text")


def _of_consequences(table: pd.DataFrame) -> pd.DataFrame:
    """By how much each device's total, or a peak at its second, differs from the reference's."""
    at = [f" at {at:.0f} s" if pd.notna(at) else "" for at in table["at_s"]]
    figure = table["quantity"].astype(str) + pd.Series(at, index=table.index, dtype=str)
    return _part("consequences", table, figure, "difference", "low", "high", activity="")


def _of_faults(table: pd.DataFrame) -> pd.DataFrame:
    value = "minutes_per_hour"
    figure = f"{value}_" + table["kind"].astype(str)
    return _part("faults", table, figure, value, "low", "high", unit="min/h")


def _of_conditions(table: pd.DataFrame) -> pd.DataFrame:
    figure = table["condition"] + ": " + table["value_a"] + " − " + table["value_b"]
    return _part("conditions", table, figure, "difference", "low", "high", unit="min/h")


def _versions(table: pd.DataFrame) -> pd.Series:
    return table["firmware_before"] + " → " + table["firmware_after"]


def _claims(evidence: Evidence, labels: Mapping[str, str]) -> list[dict[str, str]]:
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
    return {"place": "claims", **keys, "wording": claim.sentence}


def _to_digits(value: float) -> float:
    # Adding 0 makes no minus of a zero.
    return float(f"{value:.{DIGITS}g}") + 0.0
