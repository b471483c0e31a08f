"""What must be known of the wearer's body before a quantity can be told."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from strapline.ground.records.card import Body

BANISTER, EDWARDS, ENERGY, RECOVERY = "banister", "edwards", "energy", "recovery"

# Where no maximum is stated, that expected at the wearer's age takes its place.
MAXIMUM = "maximum_bpm or age_years"
NEEDS = {
    BANISTER: (MAXIMUM, "resting_bpm", "sex"),
    EDWARDS: (MAXIMUM,),
    ENERGY: ("age_years", "sex", "weight_kg"),
    RECOVERY: (MAXIMUM,),
}


def wanting(body: Body) -> dict[str, tuple[str, ...]]:
    """The quantities that cannot be told, each with the keys that the card's `body` lacks."""
    known = body.model_dump()
    known[MAXIMUM] = body.maximum_bpm or body.age_years
    lacking = {
        quantity: tuple(key for key in keys if known[key] is None)
        for quantity, keys in NEEDS.items()
    }
    return {quantity: keys for quantity, keys in lacking.items() if keys}
