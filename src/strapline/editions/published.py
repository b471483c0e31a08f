"""Every published figure and sentence of the archive, as one tidy table."""

import hashlib
import math
import os
from collections.abc import Iterator, Mapping

import numpy as np
import pandas as pd

from strapline.agreement.session_table import ALL_ACTIVITIES
from strapline.provenance import canonical
from strapline.report.claims import Claim
from strapline.report.evidence import Evidence
from strapline.tables.editions import KEY_NAMES, PUBLISHED
from strapline.tables.order import in_order_of
from strapline.tables.table import about

# As many as a person compares; beyond lies what another machine or library may round otherwise.
DIGITS = 9

REALS = ("value", "low", "high")
WORDS = (*KEY_NAMES, "unit")


def of_archive(
    evidence: Evidence,
    standings: pd.DataFrame,
    sessions: pd.DataFrame,
    faults: pd.DataFrame,
    conditions: pd.DataFrame,
    labels: Mapping[str, str],
) -> pd.DataFrame:
    """What is said over all sessions, and which there are: a frame under PUBLISHED, in order of
    its keys; `labels` names devices by their id."""
    return _in_order(
        *_of_standings(standings),
        _part("findings", evidence.findings, evidence.findings["statistic"], *REALS),
        *_of_comparisons(evidence.comparisons),
        _of_firmware(evidence.firmware),
        _part("sessions", sessions, "minutes", "minutes", unit="min", activity=""),
        _part("sessions", sessions, "set_aside", wording="set_aside", activity=""),
        _of_faults(faults),
        _of_conditions(conditions),
        PUBLISHED.from_rows(_claims(evidence, labels)),
    )


def of_sessions(
    metrics: pd.DataFrame, sentences: pd.DataFrame, consequences: pd.DataFrame
) -> pd.DataFrame:
    """What is said of each session: a frame under PUBLISHED, in order of its keys; `metrics` are
    those of whole sessions."""
    return _in_order(
        _part("metrics", metrics, metrics["metric"], "value", "ci_low", "ci_high", activity=""),
        _of_sentences(sentences),
        _of_consequences(consequences),
    )


def write_published(table: pd.DataFrame, path: str | os.PathLike[str]) -> None:
    """Write a frame under PUBLISHED with its mark."""
    PUBLISHED.write(table, path, mark=mark_of(table))


def mark_in(path: str | os.PathLike[str]) -> str | None:
    """The mark that `write_published` left in a file."""
    mark: str | None = about(path).get("mark")
    return mark


def mark_of(table: pd.DataFrame) -> str:
    """The fingerprint of a frame under PUBLISHED: the SHA-256 of all it says."""
    digest = hashlib.sha256()
    for name in (*WORDS, "wording"):
        codes, words = pd.factorize(table[name])
        digest.update(canonical([name, list(words)]).encode())
        digest.update(codes.astype("<i4").tobytes())
    for name in REALS:
        values = table[name].to_numpy("<f8")
        # Whatever bits a missing value has.
        digest.update(np.where(np.isnan(values), np.nan, values).tobytes())
    return digest.hexdigest()


def _in_order(*parts: pd.DataFrame) -> pd.DataFrame:
    """The rows of all parts that say something, in order of their keys."""
    rows = PUBLISHED.joined(parts)
    return in_order_of(rows[rows["value"].notna() | rows["wording"].notna()], KEY_NAMES)


def _part(
    place: str,
    table: pd.DataFrame,
    figure: pd.Series | str,
    value: str | None = None,
    low: str | None = None,
    high: str | None = None,
    wording: str | None = None,
    **named: pd.Series | str,
) -> pd.DataFrame:
    """Rows of PUBLISHED from the columns of `table` with these names; `named` are words that it
    does not have, or has otherwise."""
    words: dict[str, pd.Series | str] = {name: table[name] for name in WORDS if name in table}
    words |= {"place": place, "figure": figure, **named}
    numbers = dict(zip(REALS, (value, low, high), strict=True))
    return PUBLISHED.frame(
        {name: _words(words.get(name, ""), len(table)) for name in WORDS}
        | {name: _to_digits(table[own].to_numpy(float)) for name, own in numbers.items() if own}
        | ({"wording": table[wording]} if wording else {})
    )


def _words(given: pd.Series | str, length: int) -> pd.Series:
    if not isinstance(given, str):
        return given
    throughout = pd.Categorical.from_codes(np.zeros(length, int), pd.Index([given]))
    return pd.Series(throughout)


def _of_standings(table: pd.DataFrame) -> Iterator[pd.DataFrame]:
    names = table["metric"].astype(str)
    yield _part("standings", table, "mean_" + names, "mean")
    yield _part("standings", table, "median_" + names, "median", "lowest", "highest")


def _of_comparisons(table: pd.DataFrame) -> Iterator[pd.DataFrame]:
    metric = table["metric"].astype(str)
    table = table.rename(columns={"device_a": "device", "device_b": "against"})
    for figure, low, high, unit in (
        ("difference", "low", "high", table["unit"]),
        ("balanced", "balanced_low", "balanced_high", table["unit"]),
        ("closer", "closer_low", "closer_high", "1"),
        ("p_family", None, None, "1"),
    ):
        yield _part("comparisons", table, f"{figure}_" + metric, figure, low, high, unit=unit)


def _of_firmware(table: pd.DataFrame) -> pd.DataFrame:
    figure = "change_" + table["metric"].astype(str)
    return _part("firmware", table, figure, "change", "low", "high", against=_versions(table))


def _of_sentences(table: pd.DataFrame) -> pd.DataFrame:
    """What is said of a recording in one form, its sentences joined."""
    keys = ["session", "device", "recording", "form"]
    said: dict[tuple[str, ...], list[str]] = {}
    for *key, text in table.sort_values("place", kind="stable")[[*keys, "text"]].to_numpy(object):
        said.setdefault(tuple(key), []).append(text)
    joined = pd.DataFrame(list(said), columns=keys)
    joined["text"] = [" ".join(sentences) for sentences in said.values()]
    return _part("sentences", joined, joined["form"], wording="text")


def _of_consequences(table: pd.DataFrame) -> pd.DataFrame:
    """By how much each device's total, or a peak at its second, differs from the reference's."""
    of = zip(table["quantity"].astype(object), table["at_s"].astype(float), strict=True)
    figure = [quantity if math.isnan(at) else f"{quantity} at {at:.0f} s" for quantity, at in of]
    named = pd.Series(figure, index=table.index, dtype="category")
    return _part("consequences", table, named, "difference", "low", "high", activity="")


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
    return {**dict.fromkeys(WORDS, ""), "place": "claims", **keys, "wording": claim.sentence}


def _to_digits(values: np.ndarray) -> np.ndarray:
    different, which = np.unique(values, return_inverse=True)
    rounded = np.array([float(f"{value:.{DIGITS}g}") for value in different.tolist()])
    # Adding 0 makes no minus of a zero.
    return rounded[which] + 0.0
