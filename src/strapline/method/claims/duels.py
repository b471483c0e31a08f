"""What may be said of two devices that were worn together."""

from dataclasses import dataclass

from strapline.ground.settings import Claims
from strapline.ground.vocabulary import Strength, Verdict
from strapline.ground.words import bpm, counted, number, plain
from strapline.method.agreement.head_to_head import ALPHA
from strapline.method.claims.claim import Claim, Ground, apart_from_zero, known, p_words
from strapline.method.metrics.value import Value


@dataclass(frozen=True)
class Duel:
    """A row of COMPARISONS in mean absolute error, labels in the place of devices.

    difference, balanced: A minus B, as it was and as if each had sat on either wrist as often.
    p: adjusted. closer: share in percent of the sessions in
    which A was closer, with the interval for further ones. sessions_needed: with fewer, no
    difference could be shown. a_left, a_right: sessions with A on that wrist and B on the other.
    """

    label_a: str
    label_b: str
    ground: Ground
    difference: Value
    balanced: Value
    p: float
    sessions_needed: int
    closer: Value
    a_left: int
    a_right: int

    @property
    def confounded(self) -> bool:
        """Whether device and wrist cannot be told apart."""
        return self.a_left == 0 or self.a_right == 0

    def turned(self) -> "Duel":
        """The same with A and B in each other's place."""
        closer = self.closer
        return Duel(
            self.label_b,
            self.label_a,
            self.ground,
            self.difference.turned(),
            self.balanced.turned(),
            self.p,
            self.sessions_needed,
            Value(100 - closer.value, 100 - closer.high, 100 - closer.low),
            self.a_right,
            self.a_left,
        )

    @property
    def shown(self) -> bool:
        """Whether the one is closer, on whichever wrist: where that cannot be told apart,
        `balanced` is unknown."""
        return self.p < ALPHA and self.difference.value < 0 and apart_from_zero(self.balanced)


def duel_claim(duel: Duel, claims: Claims) -> Claim:
    """Which of the two is closer to the strap, and how sure that is."""
    if duel.difference.value > 0:
        duel = duel.turned()
    a, b, ground = plain(duel.label_a), plain(duel.label_b), duel.ground
    by = f"by {bpm(abs(duel.difference.value))}"
    strength = ground.strength(claims)
    if strength == Strength.DID or not duel.difference.known:
        what = f"{a} was closer to the strap than {b} {by} in {ground.these}"
        return Claim(Verdict.TOO_LITTLE, f"{what} ({ground}): too little to say more.")
    often = f"in {duel.closer.value * ground.sessions / 100:g} of {ground.sessions} sessions"
    if ground.sessions < duel.sessions_needed:
        what = f"{a} was closer to the strap than {b} {by} on average, and {often} ({ground})"
        more = f"with so many pairs to compare, it takes {duel.sessions_needed} sessions to show it"
        return Claim(Verdict.TOO_LITTLE, f"{what}: too little to say, {more}.")
    further = (
        f"{_grounds(duel)}. {a} was closer {often}; of further sessions it may be "
        f"{_ends(duel.closer)} of a hundred. {_wrists(duel, a)}"
    )
    if duel.shown:
        what = f"{a} {_is(strength)} closer to the strap than {b}, {by}"
        return Claim(Verdict.SHOWN, f"{what} {further}")
    what = f"Which of {a} and {b} is closer is not shown: {a} was, {by}"
    return Claim(Verdict.NOT_SHOWN, f"{what} {further}")


def _is(strength: Strength) -> str:
    return "is" if strength == Strength.DOES else "tends to be"


def _grounds(duel: Duel) -> str:
    p = f"p over all pairs {p_words(duel.p)}; {duel.ground}"
    # Below 0, A was closer; in words it is closer by so much.
    return known(duel.difference.turned(), "bpm", p)


def _wrists(duel: Duel, a: str) -> str:
    if duel.confounded:
        return (
            f"Neither changed wrists as far as is known ({a}: left {duel.a_left}, right "
            f"{duel.a_right}), so device and wrist cannot be told apart."
        )
    balanced = duel.balanced.turned()
    return (
        f"{a} sat on the left wrist in {counted(duel.a_left, 'session')} and on the right in "
        f"{duel.a_right}; had each wrist been as frequent, it would have been closer by "
        f"{bpm(balanced.value, True)} ({number(balanced.low, True)} to "
        f"{number(balanced.high, True)})."
    )


def _ends(closer: Value) -> str:
    return f"{number(closer.low, decimals=0)} to {number(closer.high, decimals=0)}"
