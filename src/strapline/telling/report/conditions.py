"""Whether conditions go with what goes wrong with a device, in sentences."""

import math
import re
from collections.abc import Mapping
from typing import Any

from strapline.ground.vocabulary import Verdict
from strapline.ground.words import in_words, number, plain, things, worn_by
from strapline.method.agreement.head_to_head import ALPHA
from strapline.method.claims.claim import NOT_BY_LOT, Claim
from strapline.method.claims.more import takes
from strapline.method.metrics.value import Value

# As in `temperature_c`.
CELSIUS = re.compile("_c$")


def condition_in_words(key: str) -> str:
    """'temperature_c' is 'Temperature, °C'."""
    return in_words(CELSIUS.sub(", °C", key))


def condition_claim(label: str, row: Mapping[Any, Any]) -> Claim:
    """Whether a device is not right for longer under one value of a condition than another."""
    name, condition = plain(label), condition_in_words(row["condition"])
    a, b = (plain(row[side]).replace("_", " ") for side in ("value_a", "value_b"))
    sides = f"{row['sessions_a']} against {row['sessions_b']} sessions at the same activities"
    what = f"{condition}, {a} against {b}"
    if math.isnan(row["p_family"]):
        return Claim(Verdict.NOT_YET, f"{what}: too few sessions of {name} ({sides}).")
    more = "more" if row["difference"] > 0 else "less"
    known = (
        f"(95 % interval {number(row['low'], True)} to {number(row['high'], True)}; p = "
        f"{number(row['p_family'], decimals=3)} over all comparisons; {sides}, "
        f"{worn_by(row['wearers'])} on the side with fewer)"
    )
    size = f"{minutes(abs(row['difference']))} an hour {more} where it was ‘{a}’"
    people = " Condition and person cannot be told apart." if row["confounded"] else ""
    if row["p_family"] >= ALPHA:
        difference = Value(row["difference"], row["low"], row["high"])
        needed = takes(difference, row["sessions_a"] + row["sessions_b"], row["p_family"])
        return Claim(
            Verdict.NOT_YET,
            f"{what}: whether it makes a difference is not yet known. {name} was not right for "
            f"{size} {known}. {needed}{people}",
        )
    return Claim(
        Verdict.SHOWN,
        f"{what}: {name} was not right for {size} {known}. {NOT_BY_LOT}{people}",
    )


def minutes(value: float) -> str:
    return f"{number(value)} {things(round(value, 1), 'minute')}"
