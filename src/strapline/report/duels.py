"""What may be said of two devices that were worn together."""

import math
from dataclasses import dataclass

from strapline.agreement.comparisons import ALPHA
from strapline.charts.text import plain
from strapline.report.claims import Claim, Ground
from strapline.report.figures import Value
from strapline.report.words import bpm, number
from strapline.settings import Claims


@dataclass(frozen=True)
class Duel:
    """A row of COMPARISONS in mean absolute error, labels in the place of devices.

    closer: share in percent of the sessions in which A was closer, with the interval for further
    ones. sessions_needed: with fewer, no difference could be shown.
    """

    label_a: str
    label_b: str
    ground: Ground
    difference: Value
    p_family: float
    sessions_needed: int
    closer: Value
    confounded: bool

    def turned(self) -> "Duel":
        """The same with A and B in each other's place."""
        difference, closer = self.difference, self.closer
        return Duel(
            self.label_b,
            self.label_a,
            self.ground,
            Value(-difference.value, -difference.high, -difference.low),
            self.p_family,
            self.sessions_needed,
            Value(100 - closer.value, 100 - closer.high, 100 - closer.low),
            self.confounded,
        )


def duel_claim(duel: Duel, claims: Claims) -> Claim:
    """Which of the two is closer to the strap, and how sure that is."""
    if duel.difference.value > 0:
        duel = duel.turned()
    a, b, ground = plain(duel.label_a), plain(duel.label_b), duel.ground
    by = f"by {bpm(abs(duel.difference.value))}"
    strength = ground.strength(claims)
    if strength == "did" or math.isnan(duel.difference.low):
        what = f"{a} was closer to the strap than {b} {by} in {ground.these}"
        return Claim("too little to say", f"{what} ({ground}): too little to say more.")
    often = f"in {duel.closer.value * ground.sessions / 100:g} of {ground.sessions} sessions"
    if ground.sessions < duel.sessions_needed:
        what = f"{a} was closer to the strap than {b} {by} on average, and {often} ({ground})"
        more = f"with so many pairs to compare, it takes {duel.sessions_needed} sessions to show it"
        return Claim("too little to say", f"{what}: too little to say, {more}.")
    known = (
        f"(95 % interval for this pair alone {number(-duel.difference.high)} to "
        f"{number(-duel.difference.low)} bpm; p {_p(duel.p_family)} over all pairs; {ground})"
    )
    chance = (
        f" {a} was closer {often}; of further sessions it may be {_ends(duel.closer)} of a hundred."
    )
    wrists = (
        " Neither changed wrists as far as is known, so device and wrist cannot be told apart."
        if duel.confounded
        else ""
    )
    if duel.p_family < ALPHA:
        is_closer = "is" if strength == "does" else "tends to be"
        what = f"{a} {is_closer} closer to the strap than {b}, {by}"
        return Claim("shown", f"{what} {known}.{chance}{wrists}")
    what = f"Which of {a} and {b} is closer is not shown: {a} was, {by}"
    return Claim("not shown", f"{what} {known}.{chance}{wrists}")


def _p(p: float) -> str:
    return "below 0.001" if p < 0.001 else f"= {number(p, decimals=3)}"


def _ends(closer: Value) -> str:
    return f"{number(closer.low, decimals=0)} to {number(closer.high, decimals=0)}"
