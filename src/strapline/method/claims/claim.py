"""What may be said of a device in general: the verdict, and the words for its strength.

Little evidence is told in the past tense of the sessions there are; more lets a device "tend
to"; only sessions of several wearers let it do so without "tends". Every sentence names its
sessions and wearers. Claims rest on clocks that evidence settles or that are left as recorded: to
fit a clock by heart rate, or to take a delay out, flatters a device.
"""

from dataclasses import dataclass

from strapline.ground.settings import Claims, Grounds
from strapline.ground.vocabulary import Strength, Verdict
from strapline.ground.words import counted, number, worn_by
from strapline.method.metrics.value import Value

NOT_BY_LOT = "Sessions were not drawn by lot, so other causes are possible."


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
        return "this session" if self.sessions == 1 else f"these {self.sessions} sessions"

    def strength(self, claims: Claims) -> Strength:
        if self._enough(claims.does):
            return Strength.DOES
        return Strength.TENDS if self._enough(claims.tends) else Strength.DID

    def _enough(self, least: Grounds) -> bool:
        return least.met_by(self.sessions, self.wearers, self.minutes)


def apart_from_zero(value: Value) -> bool:
    """Whether the interval leaves out 0, as it is shown."""
    return above_zero(value) or below_zero(value)


def above_zero(value: Value) -> bool:
    return round(value.low, 1) > 0


def below_zero(value: Value) -> bool:
    return round(value.high, 1) < 0


def too_little(what: str, ground: Ground) -> Claim:
    return Claim(Verdict.TOO_LITTLE, f"{what} ({ground}): too little to say more.")


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
