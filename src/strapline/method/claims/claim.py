"""What may be said of a device in general: the verdict, and the words for its strength.

Little evidence is told in the past tense of the sessions there are; more lets a device "tend
to". What holds on the wearers there were is told of these wearers; of people, and without
"tends", only what the wearers as a sample of people show. Every sentence names its sessions and
wearers. Claims rest on clocks that evidence settles or that are left as recorded: to
fit a clock by heart rate, or to take a delay out, flatters a device.
"""

import math
from dataclasses import dataclass

from strapline.ground.settings import Claims, Grounds
from strapline.ground.vocabulary import Strength, Verdict
from strapline.ground.words import counted, number, worn_by
from strapline.method.metrics.value import Value

NOT_BY_LOT = "Sessions were not drawn by lot, so other causes are possible."
NO_INTERVAL = (
    "There is no interval: one of the activities has a single session, or sessions differ so much "
    "that it would be too wide to say anything."
)


@dataclass(frozen=True)
class Claim:
    verdict: Verdict
    sentence: str


@dataclass(frozen=True)
class Ground:
    """What a claim rests on; `wearers` are those somebody stated."""

    sessions: int
    wearers: int
    minutes: float

    def __str__(self) -> str:
        return f"{counted(self.sessions, 'session')}, {worn_by(self.wearers)}"

    @property
    def these(self) -> str:
        return "one session" if self.sessions == 1 else f"these {self.sessions} sessions"

    @property
    def whom(self) -> str:
        """Whom a claim holds for that is none about people: 'On these two wearers, '."""
        if self.wearers == 0:
            return "In these sessions, "
        if self.wearers == 1:
            return "On this wearer, "
        return f"On these {'two' if self.wearers == 2 else self.wearers} wearers, "

    def strength(self, claims: Claims) -> Strength:
        if self._enough(claims.does):
            return Strength.DOES
        return Strength.TENDS if self._enough(claims.tends) else Strength.DID

    def _enough(self, least: Grounds) -> bool:
        return least.met_by(self.sessions, self.wearers, self.minutes)


def apart_from_zero(value: Value) -> bool:
    """Whether the interval leaves out 0, as it is shown."""
    return above_zero(value) or below_zero(value)


def alone(value: Value) -> str:
    """Of what is not shown: why, where its own interval leaves out 0."""
    if not apart_from_zero(value):
        return ""
    return (
        "By itself this interval leaves out 0, but of so many judged together some would by "
        "chance; p allows for that. "
    )


def above_zero(value: Value) -> bool:
    return round(value.low, 1) > 0


def below_zero(value: Value) -> bool:
    return round(value.high, 1) < 0


def same_side(bias: Value, of_people: Value) -> bool:
    """Whether people as such are on the side of 0 that `bias` is on."""
    return (below_zero if bias.value < 0 else above_zero)(of_people)


def unseen(ground: Ground, failing: Value) -> str:
    """What no interval can hold. failing: share of sessions that failed, in percent, up to the
    bound on how many may; missing where nobody can tell."""
    if math.isnan(failing.high):
        return ""
    bound = f"up to {number(failing.high, decimals=0)} % of sessions"
    if failing.value > 0:
        count = round(failing.value * ground.sessions / 100)
        some = f"{counted(count, 'session')} of {ground.sessions}"
        return f" It was off for too long in {some}, and may be in {bound}."
    which = (
        "this session did not show" if ground.sessions == 1 else f"none of {ground.these} showed"
    )
    return f" A failure that {which} is not in this interval: {bound} may fail."


def p_words(p: float) -> str:
    if math.isnan(p):
        return "unknown"
    return "below 0.001" if p < 0.001 else number(p, decimals=3)


def too_little(what: str, ground: Ground, claims: Claims) -> Claim:
    """What was, in the past tense, and how many more sessions may say more."""
    of = f" of {worn_by(ground.wearers)}" if ground.wearers else ""
    more = to_say_more(ground, claims)
    return Claim(Verdict.NOT_YET, f"{what} in {ground.these}{of}. {more}")


def to_say_more(ground: Ground, claims: Claims) -> str:
    if ground.strength(claims) != Strength.DID:
        return NO_INTERVAL
    lacking = max(claims.tends.fewest_sessions - ground.sessions, 1)
    return f"To say more takes at least {counted(lacking, 'more session')}."


def verb(strength: Strength, bare: str, plural: str, tends: str | None = None) -> str:
    return plural if strength == Strength.DOES else tends or f"tends to {bare}"


def known(
    value: Value,
    unit: str,
    rests_on: Ground | str,
    plus: bool = False,
    decimals: int = 1,
    level: float = 95,
) -> str:
    """The interval and what it rests on, in brackets."""
    return f"({level:g} % interval {ends(value, plus, decimals)} {unit}; {rests_on})"


def ends(value: Value, plus: bool = False, decimals: int = 1) -> str:
    return f"{number(value.low, plus, decimals)} to {number(value.high, plus, decimals)}"
