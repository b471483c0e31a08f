"""What may be said of one device over its sessions."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from strapline.ground.settings import Claims
from strapline.ground.vocabulary import Strength, Verdict
from strapline.ground.words import bpm, in_figures, in_words, listed, number, plain
from strapline.method.agreement.head_to_head import ALPHA
from strapline.method.claims.claim import (
    NOT_BY_LOT,
    Claim,
    Ground,
    alone,
    apart_from_zero,
    ends,
    known,
    p_words,
    same_side,
    to_say_more,
    too_little,
    unseen,
    verb,
)
from strapline.method.claims.more import takes, takes_for_share
from strapline.method.metrics.value import Value

# Of the limits' width: so far from them the seconds may end and still be called normal.
PARTED = 0.1


@dataclass(frozen=True)
class Bias:
    """What is known of a bias.

    these, people: on the wearers there were and over people, each with its p, adjusted for all
    signs of bias that are judged. further: the interval for a next session, unknown over several
    activities. furthest: at the activity where it is largest, unknown of a single one. failing:
    share of sessions that failed, in percent, with its bound.
    """

    these: Value
    p: float
    people: Value
    p_people: float
    further: Value
    furthest: Value
    failing: Value

    def far_off(self, margin_bpm: float) -> bool:
        """Whether it is beyond the margin at some activity."""
        return abs(self.furthest.value) >= margin_bpm

    @property
    def shown(self) -> bool:
        return self.p < ALPHA and apart_from_zero(self.these)

    @property
    def shown_of_people(self) -> bool:
        return self.p_people < ALPHA and same_side(self.these, self.people)


def bias_claim(label: str, ground: Ground, bias: Bias, margin_bpm: float, claims: Claims) -> Claim:
    """Whether a device reads too high or too low."""
    name, strength, value = plain(label), ground.strength(claims), bias.these.value
    size = f"{bpm(abs(value))} {'lower' if value < 0 else 'higher'}"
    if strength == Strength.DID or not bias.these.known:
        level = f"{name} averaged the same as the strap"
        read = f"{name} read {size} than the strap" if round(value, 1) else level
        return too_little(read, ground, claims)
    at = known(bias.these, "bpm", f"p over all biases {p_words(bias.p)}; {ground}", plus=True)
    more = unseen(ground, bias.failing)
    if not math.isnan(bias.further.low):
        more += (
            " In a further session its bias is expected, at 95 %, between "
            f"{number(bias.further.low, True)} and {number(bias.further.high, True)} bpm."
        )
    was = f"its bias was {bpm(value, True)} {at}"
    if not bias.shown and _inside(bias.these, margin_bpm) and not bias.far_off(margin_bpm):
        reads = f"no bias of {margin_bpm:g} bpm or more: {was}"
        return Claim(Verdict.BELOW_MARGIN, f"{ground.whom}{name} shows {reads}.{more}")
    if not bias.shown:
        needed = f"{alone(bias.these)}{takes(bias.these, ground.sessions, bias.p)}"
        what = f"Whether {name} reads too high or too low is not yet known"
        return Claim(Verdict.NOT_YET, f"{what}: {was}. {needed}{more}")
    on, strength = _held_by(ground, strength, bias.shown_of_people)
    reads = f"{on}{name} {verb(strength, 'read', 'reads')} {size} than the strap"
    return Claim(Verdict.SHOWN, f"{reads} {at}.{more}")


def depends_claim(label: str, ground: Ground, each: str, p: float, claims: Claims) -> Claim:
    """What is said in the place of a bias over activities that differ. each: the bias
    at each; p: of their being one."""
    name = plain(label)
    if ground.strength(claims) == Strength.DID or math.isnan(p):
        return Claim(Verdict.NOT_YET, f"{name}’s bias was {each}. {to_say_more(ground, claims)}")
    what = f"{ground.whom}{name}’s bias depends on the activity (p of no difference {p_words(p)})"
    return Claim(Verdict.DEPENDS, f"{what}. So far it was {each}.")


def _held_by(ground: Ground, strength: Strength, by_people: bool) -> tuple[str, Strength]:
    """Whom a claim is about, and how strong it may be: no more than a tendency on the wearers
    there were where it may be otherwise on other people."""
    return ("", strength) if by_people else (ground.whom, Strength.TENDS)


def wearers_claim(
    label: str, ground: Ground, bias: Value, p: float, further: Value, claims: Claims
) -> Claim:
    """Whether a device reads too high or too low on other people too. further: the interval for
    the true bias of a further wearer's session."""
    name = plain(label)
    what = f"Over people, {name}’s bias was {bpm(bias.value, True)}"
    if ground.strength(claims) == Strength.DID or not bias.known:
        return too_little(what, ground, claims)
    at = known(bias, "bpm", f"p over all biases {p_words(p)}; {ground}", plus=True)
    on_others = ""
    if further.known:
        on_others = (
            " In a session of a further wearer it is expected, at 95 %, between "
            f"{number(further.low, True)} and {number(further.high, True)} bpm."
        )
    if not (p < ALPHA and apart_from_zero(bias)):
        needed = f"{alone(bias)}It takes more wearers to know its sign."
        return Claim(Verdict.NOT_YET, f"{what} {at}. {needed}{on_others}")
    side = "below" if bias.value < 0 else "above"
    return Claim(Verdict.SHOWN, f"{what} {at}: {side} 0 on average.{on_others}")


def limits_claim(
    label: str,
    ground: Ground,
    lower: Value,
    upper: Value,
    seconds: tuple[float, float],
    failing: Value,
    claims: Claims,
    at_rates: Mapping[int, tuple[Value, Value]] | None = None,
) -> Claim:
    """How far single readings lie from the strap's. seconds: between what 95 % of them themselves
    lay; at_rates: both limits at some heart rates."""
    name, strength = plain(label), ground.strength(claims)
    if strength == Strength.DID or math.isnan(lower.low) or math.isnan(upper.low):
        return too_little(
            f"How far {name}’s single readings lie off cannot be told", ground, claims
        )
    between = f"between {number(lower.value, True)} and {number(upper.value, True)} bpm"
    parts = [
        f"{number(low.value, True)} to {number(high.value, True)} bpm at {rate} bpm"
        for rate, (low, high) in (at_rates or {}).items()
    ]
    by_rate = f" By heart rate they are {listed(parts)}." if parts else ""
    at = f"95 % intervals {ends(lower, plus=True)} and {ends(upper, plus=True)} bpm; {ground}"
    lie = verb(strength, "lie", "lie", tends="tend to lie")
    return Claim(
        Verdict.SHOWN,
        f"{name}’s limits of agreement {lie} {between} ({at}). {_seconds(seconds, lower, upper)}"
        f"{by_rate}{unseen(ground, failing)}",
    )


def _seconds(seconds: tuple[float, float], lower: Value, upper: Value) -> str:
    """Where the seconds themselves lay, and whether that is where limits have them."""
    low, high = seconds
    apart = max(abs(low - lower.value), abs(high - upper.value))
    lay = (
        f"Of the seconds themselves, 95 % lay between {number(low, True)} and "
        f"{number(high, True)} bpm"
    )
    if apart <= PARTED * (upper.value - lower.value):
        return f"{lay}."
    return f"{lay}: the errors are not normal, and the limits do not say where they lie."


def slope_claim(label: str, ground: Ground, slope: Value, p: float, claims: Claims) -> Claim:
    """Whether the difference grows or falls with heart rate, on the wearers there were. slope: in
    bpm of difference a bpm of heart rate."""
    name = plain(label)
    over_ten = Value(10 * slope.value, 10 * slope.low, 10 * slope.high)
    every = "for every 10 bpm of heart rate"
    moves = f"{bpm(over_ten.value, True)} {every}"
    if ground.strength(claims) == Strength.DID or not slope.known:
        return too_little(f"{name}’s difference changed by {moves}", ground, claims)
    at = known(over_ten, "bpm", f"p over all slopes {p_words(p)}; {ground}", plus=True)
    if not (p < ALPHA and apart_from_zero(over_ten)):
        needed = f"{alone(over_ten)}{takes(over_ten, ground.sessions, p)}"
        what = f"Whether {name}’s error goes with heart rate is not yet known"
        return Claim(Verdict.NOT_YET, f"{what}: its difference changed by {moves} {at}. {needed}")
    reads = f"tends to read {'lower' if slope.value < 0 else 'higher'}"
    return Claim(
        Verdict.SHOWN,
        f"{ground.whom}{name} {reads} the higher the heart rate: by {bpm(abs(over_ten.value))} "
        f"{every} {at}.",
    )


def criterion_claim(
    label: str, criterion: str, ground: Ground, share: Value, of_people: Value, claims: Claims
) -> Claim:
    """Whether a device meets a criterion in most sessions. share: of sessions, in percent, on
    these wearers; of_people: the same over people."""
    name, strength = plain(label), ground.strength(claims)
    count = round(share.value * ground.sessions / 100)
    if strength == Strength.DID or not share.known:
        met = f"{count} of {in_figures(ground.sessions, 'session')}"
        return too_little(f"{name} met ‘{criterion}’ in {met}", ground, claims)
    at = f"it was met in {count} of {ground.sessions} {known(share, '%', ground, decimals=0)}"
    most, few = share.low > 50, share.high < 50
    if not (most or few):
        what = f"Whether {name} meets ‘{criterion}’ in most sessions is not yet known"
        return Claim(
            Verdict.NOT_YET, f"{what}: {at}. {takes_for_share(share.value, ground.sessions)}"
        )
    by_people = of_people.low > 50 if most else of_people.high < 50
    on, strength = _held_by(ground, strength, by_people)
    does = verb(strength, *(("meet", "meets") if most else ("miss", "misses")))
    return Claim(Verdict.SHOWN, f"{on}{name} {does} ‘{criterion}’ in most sessions: {at}.")


def equivalence_claim(
    label: str,
    margin_bpm: float,
    alpha: float,
    ground: Ground,
    mean: Value,
    of_people: Value,
    furthest: Value,
    claims: Claims,
) -> Claim:
    """Whether a device's bias lies within a margin. mean, of_people: on these wearers and over
    people, with the interval of 1 - 2 alpha; furthest: the bias of the activity where it is
    largest, unknown of a single activity."""
    name, strength = plain(label), ground.strength(claims)
    within = f"within ±{margin_bpm:g} bpm"
    if strength == Strength.DID or not mean.known:
        return too_little(f"Whether {name}’s bias lies {within} cannot be told", ground, claims)
    at = known(mean, "bpm", ground, plus=True, level=100 * (1 - 2 * alpha))
    several = not math.isnan(furthest.value)
    parts = "activities" if several else "sessions"
    average = f"the mean of its {parts} is {bpm(mean.value, True)} {at}"
    outside = several and abs(furthest.value) >= margin_bpm
    if outside:
        average += f", and at one activity {bpm(furthest.value, True)}"
    if _inside(mean, margin_bpm) and not outside:
        on, strength = _held_by(ground, strength, _inside(of_people, margin_bpm))
        lies = f"averaged over {parts}, {name}’s bias {verb(strength, 'lie', 'lies')} {within}"
        told = f"{on}{lies}"
        return Claim(Verdict.SHOWN, f"{told[0].upper()}{told[1:]}: {average}.")
    what = f"Whether, averaged over {parts}, {name}’s bias lies {within} is not yet known"
    side = math.copysign(margin_bpm, mean.value)
    needed = "" if outside else f" {takes(mean, ground.sessions, from_=side, level=1 - 2 * alpha)}"
    return Claim(Verdict.NOT_YET, f"{what}: {average}.{needed}")


def _inside(mean: Value, margin: float) -> bool:
    return -margin < mean.low and mean.high < margin


def reference_claim(
    label: str, activity: str, ground: Ground, error: Value, claims: Claims
) -> Claim:
    """How large a strap's own random error may be at an activity. error: an upper bound of its
    SD, missing where what devices have in common is less than nothing."""
    at, whose = in_words(activity), f"the random error of {label}"
    if ground.strength(claims) == Strength.DID or math.isnan(error.high):
        return too_little(f"{at}: {whose} cannot be told", ground, claims)
    if math.isnan(error.value):
        told = known(error, "bpm", ground)
        what = "cannot be told: what is estimated of its variance is below 0"
        return Claim(Verdict.NOT_YET, f"{at}: {whose} {what} {told}.")
    return Claim(
        Verdict.SHOWN,
        f"{at}: {whose} is at most {bpm(error.high)} ({ground}). What the devices err together "
        "counts as the strap’s, so it may be much smaller.",
    )


def firmware_claim(
    label: str, versions: tuple[str, str], ground: Ground, change: Value, claims: Claims
) -> Claim:
    """Whether the error changed with the firmware, on the wearers there were: nothing is said of
    others. ground: sessions of the side with fewer."""
    name, (before, after) = plain(label), (plain(version) for version in versions)
    if math.isnan(change.value):
        return Claim(
            Verdict.NOT_YET,
            f"Nothing can be said of {name}’s firmware {after} yet: it came with other activities "
            f"or wearers than {before} ({ground}), and what they changed cannot be told apart.",
        )
    moved = f"{bpm(abs(change.value))} {'smaller' if change.value < 0 else 'larger'}"
    what = (
        f"with firmware {after} {name}’s mean absolute error was {moved} than with {before} at the "
        "same activities"
    )
    least = f"at least {ground} on either side"
    if ground.strength(claims) == Strength.DID or not change.known:
        said = (
            f"{what[:1].upper()}{what[1:]} ({least}). It takes more sessions of both to say more."
        )
        return Claim(Verdict.NOT_YET, said)
    at = known(change, "bpm", least, plus=True)
    if not apart_from_zero(change):
        needed = takes(change, 2 * ground.sessions)
        return Claim(
            Verdict.NOT_YET, f"{what[:1].upper()}{what[1:]} {at}, which may be chance. {needed}"
        )
    return Claim(Verdict.SHOWN, f"{ground.whom}{what} {at}. {NOT_BY_LOT}")
