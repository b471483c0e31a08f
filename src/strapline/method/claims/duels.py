"""What may be said of two devices that were worn together."""

from dataclasses import dataclass, replace

from strapline.ground.settings import Claims
from strapline.ground.vocabulary import Strength, Verdict
from strapline.ground.words import bpm, counted, listed, number, plain, worn_by
from strapline.method.agreement.head_to_head import ALPHA
from strapline.method.agreement.proportions import at_most
from strapline.method.claims.claim import (
    Claim,
    Ground,
    apart_from_zero,
    ends,
    known,
    p_words,
    to_say_more,
    too_little,
    verb,
)
from strapline.method.claims.more import takes_for_share
from strapline.method.metrics.value import Value

# With fewer, a failure that neither showed may still tip the balance.
MANY_SESSIONS = 20


@dataclass(frozen=True)
class Duel:
    """A row of COMPARISONS in mean absolute error, labels in the place of devices.

    difference: median of A minus B, with an interval that holds for all `pairs` together;
    balanced: the mean as if each had sat on either wrist as often. p, people_p: adjusted, on these
    wearers and over people. failed_a, failed_b: sessions in which each failed. closer: share in
    percent of the sessions in which A was closer, with the interval for further ones.
    sessions_needed: with fewer, no difference could be shown. a_left, a_right: sessions with A on
    that wrist and B on the other.
    """

    label_a: str
    label_b: str
    ground: Ground
    difference: Value
    balanced: Value
    p: float
    people_p: float
    pairs: int
    sessions_needed: int
    failed_a: int
    failed_b: int
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
        return replace(
            self,
            label_a=self.label_b,
            label_b=self.label_a,
            difference=self.difference.turned(),
            balanced=self.balanced.turned(),
            failed_a=self.failed_b,
            failed_b=self.failed_a,
            closer=Value(100 - closer.value, 100 - closer.high, 100 - closer.low),
            a_left=self.a_right,
            a_right=self.a_left,
        )

    @property
    def shown(self) -> bool:
        """Whether the one is closer, on whichever wrist: where that cannot be told apart,
        `balanced` is unknown."""
        return self.p < ALPHA and self.difference.value < 0 and apart_from_zero(self.balanced)

    @property
    def level(self) -> float:
        """Of the difference's interval."""
        return 1 - ALPHA / self.pairs

    @property
    def size_told(self) -> bool:
        """Whether by how much may be said in general: where both have shown what a failure adds,
        or neither has failed in many sessions."""
        both = self.failed_a > 0 and self.failed_b > 0
        neither = self.failed_a == self.failed_b == 0
        return both or (neither and self.ground.sessions >= MANY_SESSIONS)


def duel_claim(duel: Duel, claims: Claims, criterion: str) -> Claim:
    """Which of the two is closer to the strap in the typical session, and how sure that is;
    criterion: what a session that did not fail meets, in words."""
    if duel.difference.value > 0:
        duel = duel.turned()
    a, b, ground = plain(duel.label_a), plain(duel.label_b), duel.ground
    by = f", by {bpm(abs(duel.difference.value))}" if duel.size_told else ""
    typical = "in the typical session"
    strength, people = ground.strength(claims), worn_by(ground.wearers)
    often = f"in {duel.closer.value * ground.sessions / 100:g} of {ground.sessions} sessions"
    if strength == Strength.DID:
        what = f"{a} was closer to the strap than {b}"
        if ground.sessions == 1:
            return too_little(what, ground, claims)
        return Claim(Verdict.NOT_YET, f"{what} {often} ({people}). {to_say_more(ground, claims)}")
    if ground.sessions < duel.sessions_needed:
        what = f"{a} was closer to the strap than {b} {often} ({people})"
        more = counted(duel.sessions_needed - ground.sessions, "more session")
        needed = f"With so many pairs to compare, to show it takes at least {more}"
        return Claim(Verdict.NOT_YET, f"{what}. {needed}.")
    further = (
        f" {_grounds(duel)}. {a} was closer {often}; of 100 further sessions it may be "
        f"closer in {ends(duel.closer, decimals=0)}. {_failures(duel, a, b, criterion)} "
        f"{_wrists(duel, a)}"
    )
    if duel.shown:
        on, strength = ("", strength) if duel.people_p < ALPHA else (ground.whom, Strength.TENDS)
        what = f"{on}{a} {verb(strength, 'be', 'is')} closer to the strap than {b} {typical}{by}"
        return Claim(Verdict.SHOWN, f"{what}{further}")
    what = f"Which of {a} and {b} is closer {typical} is not yet known: here {a} was closer{by}"
    # A median is told from 0 by how many sessions lie on either side of it.
    needed = takes_for_share(duel.closer.value, ground.sessions, duel.level)
    return Claim(Verdict.NOT_YET, f"{what}{further}{'' if duel.confounded else f' {needed}'}")


def _grounds(duel: Duel) -> str:
    p = f"p over all pairs {p_words(duel.p)}; {duel.ground}"
    # Below 0, A was closer; in words it is closer by so much.
    return known(duel.difference.turned(), "bpm", p, level=round(100 * duel.level, 1))


def _failures(duel: Duel, a: str, b: str, criterion: str) -> str:
    """How often each failed, and how often it may."""
    n = duel.ground.sessions
    told = [
        f"{name} in {count} of {n} sessions (up to {100 * at_most(count, n):.0f} % of further ones)"
        for name, count in ((f"{a} missed ‘{criterion}’", duel.failed_a), (b, duel.failed_b))
    ]
    return f"{listed(told)}."


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
