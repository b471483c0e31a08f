"""What may be said of a device in general: a verdict, and a sentence with number and interval.

Little evidence is told in the past tense of the sessions there are; more lets a device "tend
to"; only sessions of several wearers let it do so without "tends". Every sentence names its
sessions and wearers.
"""

import math
from dataclasses import dataclass
from typing import Literal

from strapline.charts.text import counted, plain, worn_by
from strapline.report.figures import Value
from strapline.report.words import bpm, number
from strapline.settings import Claims, Grounds

Verdict = Literal["shown", "not shown", "too little to say"]
Strength = Literal["did", "tends", "does"]

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
            return "does"
        return "tends" if self._enough(claims.tends) else "did"

    def _enough(self, least: Grounds) -> bool:
        # Somebody wore it, stated or not.
        return (
            self.sessions >= least.fewest_sessions
            and max(self.wearers, 1) >= least.fewest_wearers
            and self.minutes >= least.fewest_minutes
        )


def bias_claim(label: str, ground: Ground, bias: Value, further: Value, claims: Claims) -> Claim:
    """Whether a device reads too high or too low. `further`: the interval for a next session."""
    name, strength = plain(label), ground.strength(claims)
    size = f"{bpm(abs(bias.value))} {'lower' if bias.value < 0 else 'higher'}"
    if strength == "did" or math.isnan(bias.low):
        return _too_little(f"{name} read {size} than the strap in {ground.these}", ground)
    known = _known(bias, "bpm", ground, plus=True)
    next_one = (
        f" In a further session its bias is expected between {number(further.low, True)} and "
        f"{number(further.high, True)} bpm."
    )
    if not _apart(bias):
        what = f"Whether {name} reads too high or too low is not shown"
        return Claim(
            "not shown", f"{what}: its bias was {bpm(bias.value, True)} {known}.{next_one}"
        )
    reads = f"{name} {_verb(strength, 'read', 'reads')} {size} than the strap"
    return Claim("shown", f"{reads} {known}.{next_one}")


def wearers_claim(label: str, ground: Ground, bias: Value, claims: Claims) -> Claim:
    """Whether a device reads too high or too low on other people too."""
    name = plain(label)
    what = f"Taken wearer by wearer, {name}’s bias is {bpm(bias.value, True)}"
    if ground.strength(claims) == "did" or math.isnan(bias.low):
        return _too_little(what, ground)
    known = _known(bias, "bpm", ground, plus=True)
    if not _apart(bias):
        return Claim("not shown", f"{what} {known}: its sign over people is not shown.")
    side = "below" if bias.value < 0 else "above"
    return Claim("shown", f"{what} {known}: {side} 0 on average, though one person may differ.")


def limits_claim(label: str, ground: Ground, lower: Value, upper: Value, claims: Claims) -> Claim:
    """How far single readings lie from the strap's."""
    name, strength = plain(label), ground.strength(claims)
    if strength == "did" or math.isnan(lower.low) or math.isnan(upper.low):
        return _too_little(f"How far {name}’s single readings lie off cannot be told", ground)
    between = f"between {number(lower.value, True)} and {number(upper.value, True)} bpm"
    known = f"95 % intervals {_ends(lower, plus=True)} and {_ends(upper, plus=True)} bpm; {ground}"
    lie = _verb(strength, "lie", "lie", tends="tend to lie")
    return Claim(
        "shown",
        f"{name}’s limits of agreement {lie} {between} ({known}); 95 % of single errors are "
        "within them only if large errors are as rare as a normal distribution has them.",
    )


def criterion_claim(
    label: str, criterion: str, ground: Ground, share: Value, claims: Claims
) -> Claim:
    """Whether a device meets a criterion in most sessions. share: of sessions, in percent."""
    name, strength = plain(label), ground.strength(claims)
    count = round(share.value * ground.sessions / 100)
    if strength == "did" or math.isnan(share.low):
        met = f"{count} of {ground.sessions} session{'' if ground.sessions == 1 else 's'}"
        return _too_little(f"{name} met ‘{criterion}’ in {met}", ground)
    known = f"it was met in {count} of {ground.sessions} {_known(share, '%', ground, decimals=0)}"
    if share.low <= 50 <= share.high:
        what = f"Whether {name} meets ‘{criterion}’ in most sessions is not shown"
        return Claim("not shown", f"{what}: {known}.")
    does = _verb(strength, *(("meet", "meets") if share.low > 50 else ("miss", "misses")))
    return Claim("shown", f"{name} {does} ‘{criterion}’ in most sessions: {known}.")


def equivalence_claim(
    label: str, margin_bpm: float, alpha: float, ground: Ground, mean: Value, claims: Claims
) -> Claim:
    """Whether a device's bias lies within a margin. mean: with its interval of 1 - 2 alpha."""
    name, strength = plain(label), ground.strength(claims)
    within = f"within ±{margin_bpm:g} bpm"
    if strength == "did" or math.isnan(mean.low):
        return _too_little(f"Whether {name}’s bias lies {within} cannot be told", ground)
    known = _known(mean, "bpm", ground, plus=True, level=100 * (1 - 2 * alpha))
    average = f"the mean of its sessions is {bpm(mean.value, True)} {known}"
    if -margin_bpm < mean.low and mean.high < margin_bpm:
        lies = _verb(strength, "lie", "lies")
        return Claim("shown", f"Averaged over sessions, {name}’s bias {lies} {within}: {average}.")
    what = f"That, averaged over sessions, {name}’s bias lies {within} is not shown"
    return Claim("not shown", f"{what}: {average}.")


def firmware_claim(
    label: str, versions: tuple[str, str], ground: Ground, change: Value, claims: Claims
) -> Claim:
    """Whether the error changed with the firmware. ground: sessions of the side with fewer."""
    name, (before, after) = plain(label), (plain(version) for version in versions)
    moved = f"{bpm(abs(change.value))} {'smaller' if change.value < 0 else 'larger'}"
    what = f"with firmware {after} {name}’s mean absolute error was {moved} than with {before}"
    least = f"at least {ground} on either side"
    if ground.strength(claims) == "did" or math.isnan(change.low):
        return Claim("too little to say", f"Too little to say: {what} ({least}).")
    known = f"(95 % interval {_ends(change, plus=True)} bpm; {least})"
    if not _apart(change):
        return Claim("not shown", f"A change is not shown: {what} {known}.")
    return Claim("shown", f"{what[0].upper()}{what[1:]} {known}. {NOT_BY_LOT}")


def _apart(value: Value) -> bool:
    """Whether the interval leaves out 0 as it is shown, to a tenth."""
    return round(value.low, 1) > 0 or round(value.high, 1) < 0


def _too_little(what: str, ground: Ground) -> Claim:
    return Claim("too little to say", f"{what} ({ground}): too little to say more.")


def _verb(strength: Strength, bare: str, plural: str, tends: str | None = None) -> str:
    return plural if strength == "does" else tends or f"tends to {bare}"


def _known(
    value: Value,
    unit: str,
    ground: Ground,
    plus: bool = False,
    decimals: int = 1,
    level: float = 95,
) -> str:
    return f"({level:g} % interval {_ends(value, plus, decimals)} {unit}; {ground})"


def _ends(value: Value, plus: bool = False, decimals: int = 1) -> str:
    return f"{number(value.low, plus, decimals)} to {number(value.high, plus, decimals)}"
