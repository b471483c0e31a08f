"""What is published of each session."""

import math
from collections.abc import Mapping

import pandas as pd

from strapline.ground.tables.editions import CORRECTIONS
from strapline.keeping.editions.published import in_order, part


def of_sessions(
    metrics: pd.DataFrame,
    sentences: pd.DataFrame,
    consequences: pd.DataFrame,
    corrections: Mapping[str, str],
    stated: pd.DataFrame,
) -> pd.DataFrame:
    """What is said of each session: a frame under PUBLISHED, in order of its keys; `metrics` are
    those of whole sessions, `corrections` by session."""
    corrected = pd.DataFrame({"session": list(corrections), "text": list(corrections.values())})
    return in_order(
        part("metrics", metrics, metrics["metric"], "value", "ci_low", "ci_high", activity=""),
        _of_sentences(sentences),
        _of_consequences(consequences),
        part(CORRECTIONS, corrected, "correction", wording="text"),
        part("stated", stated, stated["figure"], "difference", wording="sentence", activity=""),
    )


def _of_sentences(table: pd.DataFrame) -> pd.DataFrame:
    """What is said of a recording in one form, its sentences joined."""
    keys = ["session", "device", "recording", "form"]
    said: dict[tuple[str, ...], list[str]] = {}
    for *key, text in table.sort_values("place", kind="stable")[[*keys, "text"]].to_numpy(object):
        said.setdefault(tuple(key), []).append(text)
    joined = pd.DataFrame(list(said), columns=keys)
    joined["text"] = [" ".join(sentences) for sentences in said.values()]
    return part("sentences", joined, joined["form"], wording="text")


def _of_consequences(table: pd.DataFrame) -> pd.DataFrame:
    """By how much each device's total, or a peak at its second, differs from the reference's."""
    of = zip(table["quantity"].astype(object), table["at_s"].astype(float), strict=True)
    figure = [quantity if math.isnan(at) else f"{quantity} at {at:.0f} s" for quantity, at in of]
    named = pd.Series(figure, index=table.index, dtype="category")
    return part("consequences", table, named, "difference", "low", "high", activity="")
