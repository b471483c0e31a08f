"""What may be said of one device over its sessions."""

import math

from strapline.ground.settings import Claims
from strapline.ground.vocabulary import Strength, Verdict
from strapline.ground.words import bpm, in_figures, number, plain
from strapline.method.claims.claim import (
    NOT_BY_LOT,
    Claim,
    Ground,
    above_zero,
    apart_from_zero,
    below_zero,
    ends,
    known,
    too_little,
    verb,
)
from strapline.method.metrics.value import Value


def bias_claim(
    label: str,
    ground: Ground,
    bias: Value,
    over_wearers: Value,
    further: Value,
    claims: Claims,
) -> Claim:
    """Whether a device reads too high or too low.

    over_wearers: the same with people as a second level, without which nothing is said of people
    in general. further: the interval for a next session, unknown over several activities.
    """
    name, strength = plain(label), ground.strength(claims)
    size = f"{bpm(abs(bias.value))} {'lower' if bias.value < 0 else 'higher'}"
    if strength == Strength.DID or not bias.known:
        return too_little(f"{name} read {size} than the strap in {ground.these}", ground)
    at = known(bias, "bpm", ground, plus=True)
    next_one = ""
    if not math.isnan(further.low):
        next_one = (
            f" In a further session its bias is expected between {number(further.low, True)} and "
            f"{number(further.high, True)} bpm."
        )
    if not apart_from_zero(bias):
        what = f"Whether {name} reads too high or too low is not shown"
        return Claim(
            Verdict.NOT_SHOWN, f"{what}: its bias was {bpm(bias.value, True)} {at}.{next_one}"
        )
    strength = _for_people(strength, bias, over_wearers)
    reads = f"{name} {verb(strength, 'read', 'reads')} {size} than the strap"
    return Claim(Verdict.SHOWN, f"{reads} {at}.{next_one}")


def _for_people(strength: Strength, bias: Value, over_wearers: Value) -> Strength:
    """No more than a tendency where another wearer's sign could be the other."""
    side = below_zero if bias.value < 0 else above_zero
    return Strength.TENDS if strength == Strength.DOES and not side(over_wearers) else strength


def wearers_claim(label: str, ground: Ground, bias: Value, further: Value, claims: Claims) -> Claim:
    """Whether a device reads too high or too low on other people too. further: the interval for
    the true bias of a further wearer's session."""
    name = plain(label)
    what = f"Taken wearer by wearer, {name}’s bias is {bpm(bias.value, True)}"
    if ground.strength(claims) == Strength.DID or not bias.known:
        return too_little(what, ground)
    at = known(bias, "bpm", ground, plus=True)
    on_others = (
        f" On a further wearer it is expected between {number(further.low, True)} and "
        f"{number(further.high, True)} bpm."
    )
    if not apart_from_zero(bias):
        return Claim(
            Verdict.NOT_SHOWN, f"{what} {at}: its sign over people is not shown.{on_others}"
        )
    side = "below" if bias.value < 0 else "above"
    return Claim(Verdict.SHOWN, f"{what} {at}: {side} 0 on average.{on_others}")


def limits_claim(label: str, ground: Ground, lower: Value, upper: Value, claims: Claims) -> Claim:
    """How far single readings lie from the strap's."""
    name, strength = plain(label), ground.strength(claims)
    if strength == Strength.DID or math.isnan(lower.low) or math.isnan(upper.low):
        return too_little(f"How far {name}’s single readings lie off cannot be told", ground)
    between = f"between {number(lower.value, True)} and {number(upper.value, True)} bpm"
    at = f"95 % intervals {ends(lower, plus=True)} and {ends(upper, plus=True)} bpm; {ground}"
    lie = verb(strength, "lie", "lie", tends="tend to lie")
    return Claim(
        Verdict.SHOWN,
        f"{name}’s limits of agreement {lie} {between} ({at}); 95 % of single errors are "
        "within them only if large errors are as rare as a normal distribution has them.",
    )


def criterion_claim(
    label: str, criterion: str, ground: Ground, share: Value, claims: Claims
) -> Claim:
    """Whether a device meets a criterion in most sessions. share: of sessions, in percent."""
    name, strength = plain(label), ground.strength(claims)
    count = round(share.value * ground.sessions / 100)
    if strength == Strength.DID or not share.known:
        met = f"{count} of {in_figures(ground.sessions, 'session')}"
        return too_little(f"{name} met ‘{criterion}’ in {met}", ground)
    at = f"it was met in {count} of {ground.sessions} {known(share, '%', ground, decimals=0)}"
    most, few = share.low > 50, share.high < 50
    if not (most or few):
        what = f"Whether {name} meets ‘{criterion}’ in most sessions is not shown"
        return Claim(Verdict.NOT_SHOWN, f"{what}: {at}.")
    does = verb(strength, *(("meet", "meets") if most else ("miss", "misses")))
    return Claim(Verdict.SHOWN, f"{name} {does} ‘{criterion}’ in most sessions: {at}.")


def equivalence_claim(
    label: str,
    margin_bpm: float,
    alpha: float,
    ground: Ground,
    mean: Value,
    furthest: Value,
    claims: Claims,
) -> Claim:
    """Whether a device's bias lies within a margin. mean: with its interval of 1 - 2 alpha;
    furthest: the bias of the activity where it is largest, unknown of a single activity."""
    name, strength = plain(label), ground.strength(claims)
    within = f"within ±{margin_bpm:g} bpm"
    if strength == Strength.DID or not mean.known:
        return too_little(f"Whether {name}’s bias lies {within} cannot be told", ground)
    at = known(mean, "bpm", ground, plus=True, level=100 * (1 - 2 * alpha))
    several = not math.isnan(furthest.value)
    parts = "activities" if several else "sessions"
    average = f"the mean of its {parts} is {bpm(mean.value, True)} {at}"
    outside = several and abs(furthest.value) >= margin_bpm
    if outside:
        average += f", and at one activity {bpm(furthest.value, True)}"
    inside = -margin_bpm < mean.low and mean.high < margin_bpm
    if inside and not outside:
        lies = verb(strength, "lie", "lies")
        return Claim(
            Verdict.SHOWN, f"Averaged over {parts}, {name}’s bias {lies} {within}: {average}."
        )
    what = f"That, averaged over {parts}, {name}’s bias lies {within} is not shown"
    return Claim(Verdict.NOT_SHOWN, f"{what}: {average}.")


def firmware_claim(
    label: str, versions: tuple[str, str], ground: Ground, change: Value, claims: Claims
) -> Claim:
    """Whether the error changed with the firmware. ground: sessions of the side with fewer."""
    name, (before, after) = plain(label), (plain(version) for version in versions)
    if math.isnan(change.value):
        return Claim(
            Verdict.TOO_LITTLE,
            f"Too little to say of {name}’s firmware {after}: it came with other activities or "
            f"wearers than {before} ({ground}), and what they changed cannot be told apart.",
        )
    moved = f"{bpm(abs(change.value))} {'smaller' if change.value < 0 else 'larger'}"
    what = f"with firmware {after} {name}’s mean absolute error was {moved} than with {before}"
    least = f"at least {ground} on either side"
    if ground.strength(claims) == Strength.DID or not change.known:
        return Claim(Verdict.TOO_LITTLE, f"Too little to say: {what} ({least}).")
    at = known(change, "bpm", least, plus=True)
    if not apart_from_zero(change):
        return Claim(Verdict.NOT_SHOWN, f"A change is not shown: {what} {at}.")
    return Claim(Verdict.SHOWN, f"{what[0].upper()}{what[1:]} {at}. {NOT_BY_LOT}")
