"""What may be said of a device in general: the verdict, and the words for its strength.

Little evidence is told in the past tense of the sessions there are; more lets a device "tend
to"; only sessions of several wearers let it do so without "tends". Every sentence names its
sessions and wearers. Nothing is shown that depends on how the clocks are taken: an aligned clock
flatters a device that follows closely, and clocks as recorded flatter none.
"""

import math
from collections.abc import Callable
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


@dataclass(frozen=True)
class Statistic:
    """A statistic with clocks aligned where possible, and with clocks as recorded."""

    aligned: Value
    recorded: Value

    @property
    def value(self) -> float:
        return self.aligned.value

    @property
    def known(self) -> bool:
        return not math.isnan(self.aligned.low)

    def both(self, holds: Callable[[Value], bool]) -> bool:
        """Whether something holds of either view; of an unknown one nothing does."""
        return holds(self.aligned) and holds(self.recorded)

    def turned(self) -> "Statistic":
        """The same of B minus A in the place of A minus B."""
        return Statistic(_turned(self.aligned), _turned(self.recorded))


def apart_from_zero(statistic: Statistic) -> bool:
    """Whether both views' intervals leave out 0, on the same side, as they are shown."""
    return statistic.both(above_zero) or statistic.both(below_zero)


def above_zero(value: Value) -> bool:
    return round(value.low, 1) > 0


def below_zero(value: Value) -> bool:
    return round(value.high, 1) < 0


def too_little(what: str, ground: Ground) -> Claim:
    return Claim(Verdict.TOO_LITTLE, f"{what} ({ground}): too little to say more.")


def verb(strength: Strength, bare: str, plural: str, tends: str | None = None) -> str:
    return plural if strength == Strength.DOES else tends or f"tends to {bare}"


def known(
    statistic: Statistic,
    unit: str,
    rests_on: Ground | str,
    plus: bool = False,
    decimals: int = 1,
    level: float = 95,
) -> str:
    """Both intervals and what they rest on, in brackets."""
    recorded = "nothing could be compared"
    if not math.isnan(statistic.recorded.low):
        recorded = f"{ends(statistic.recorded, plus, decimals)} {unit}"
    return (
        f"({level:g} % interval {ends(statistic.aligned, plus, decimals)} {unit}, with clocks as "
        f"recorded {recorded}; {rests_on})"
    )


def ends(value: Value, plus: bool = False, decimals: int = 1) -> str:
    return f"{number(value.low, plus, decimals)} to {number(value.high, plus, decimals)}"


def _turned(value: Value) -> Value:
    return Value(-value.value, -value.high, -value.low)
