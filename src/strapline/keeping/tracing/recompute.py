"""Every figure once more, by its short path, and whether it came out the same."""

import math
from collections.abc import Collection, Mapping

import numpy as np

from strapline.ground.words import exact
from strapline.method.metrics import registry
from strapline.method.metrics.again import Near, Pairs
from strapline.method.metrics.metric import Given

# What the order of a sum may change, in parts of the figure and for figures near 0.
ROUNDING = 1e-9
IN_ORDER: Given = "whole session in order"


def recomputed(pairs: Pairs, near: Near, wanted: Collection[str]) -> dict[str, float]:
    """Those of the wanted figures that pairs decide, by name; NaN where they decide none."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return {
            metric.key: metric.again(pairs, near)
            for metric in registry.METRICS
            if metric.key in wanted
            and metric.again is not None
            and (metric.given != IN_ORDER or pairs.in_order is not None)
        }


def equal(published: float, again: float) -> bool:
    """Whether two ways to reckon a figure gave the same, or both gave none."""
    if math.isnan(published) or math.isnan(again):
        return math.isnan(published) and math.isnan(again)
    return math.isclose(published, again, rel_tol=ROUNDING, abs_tol=ROUNDING)


def outcome(published: float, again: float, made_from: str, table: str) -> str:
    """A figure computed a second way beside the one in a table."""
    result = "equal" if equal(published, again) else "NOT EQUAL"
    return (
        f"Computed a second way from {made_from}: {exact(again)}; in {table}: {exact(published)}: "
        f"{result}."
    )


def not_equal(published: Mapping[str, float], again: Mapping[str, float]) -> list[str]:
    """Names of the published figures that `again` has otherwise."""
    return [n for n, v in published.items() if n in again and not equal(v, again[n])]
