"""What a device's readings would have meant, in sentences whose numbers are the table's."""

from __future__ import annotations

from strapline.ground import words
from strapline.ground.records.card import Body
from strapline.method.consequences.needs import wanting
from strapline.method.consequences.told import Amount, Told

SAID = {
    "banister": ("Banister’s load", ""),
    "edwards": ("Edwards’ load", ""),
    "energy": ("the energy", " kJ"),
    "recovery": ("the fall after the hardest effort", " bpm"),
}
LOADS = ("banister", "edwards", "energy")
# Of tenths of a kJ no such formula knows.
DECIMALS = {"energy": 0}
# Where peaks are flat, their highest seconds are chance: a delay less sure is not told.
WIDEST_S = 10


def sentences(label: str, told: Told) -> list[str]:
    """At most five, each with its numbers; the first names the device."""
    return [_bands(label, told), _alarm(told), *_loads(told), *_peaks(told), *_recovery(told)]


def wanting_sentence(body: Body) -> str:
    """What is not told, and which keys the session's card lacks for it; '' where nothing is."""
    lacking = [f"{SAID[name][0]} ({', '.join(keys)})" for name, keys in wanting(body).items()]
    if not lacking:
        return ""
    return f"Not told, because the session’s card lacks keys under body: {'; '.join(lacking)}."


def _bands(label: str, told: Told) -> str:
    wrong, total = told.amounts["wrong_band"].device_value, told.seconds / 60
    return (
        f"{label} put {words.number(wrong)} of {words.number(total)} minutes "
        f"({words.percent(100 * told.wrong)}) in a wrong band of effort."
    )


def _alarm(told: Told) -> str:
    above = told.amounts["above"]
    if above.reference_value == above.device_value == 0:
        return "Neither it nor the strap was ever above the alarm."
    missed, invented = (
        words.number(told.amounts[f"above_{what}"].device_value) for what in ("missed", "invented")
    )
    return (
        f"The strap was above the alarm for {words.number(above.reference_value)} min; the device "
        f"missed {missed} of them and invented {invented}."
    )


def _loads(told: Told) -> list[str]:
    parts = []
    for name in LOADS:
        if name in told.amounts:
            said, unit = SAID[name]
            device, reference = _sides(told.amounts[name], DECIMALS.get(name, 1))
            parts.append(f"{said} is {device} instead of {reference}{unit}")
    return [f"By its readings {words.listed(parts)}."] if parts else []


def _peaks(told: Told) -> list[str]:
    if "peak" not in told.amounts:
        return []
    count = told.amounts["peak"].n
    return [
        f"At {words.counted(count, 'peak')} it was off by {_over_peaks(told)} bpm{_late(told)}."
    ]


def _late(told: Told) -> str:
    """' and came 10 s later (8 to 12)'; '' where peaks are too flat or too few to tell."""
    delay = told.amounts.get("peak_delay")
    if delay is None or not delay.low * delay.high > 0 or delay.high - delay.low > WIDEST_S:
        return ""
    mean, *ends = (abs(second) for second in (delay.difference, delay.low, delay.high))
    low, high = (words.number(end, decimals=0) for end in sorted(ends))
    side = "later" if delay.difference > 0 else "earlier"
    return f" and came {words.number(mean, decimals=0)} s {side} ({low} to {high})"


def _recovery(told: Told) -> list[str]:
    if "recovery" not in told.amounts:
        return []
    device, reference = _sides(told.amounts["recovery"])
    return [
        f"In the minute after the hardest effort it fell by {device} bpm, the strap by "
        f"{reference} bpm."
    ]


def _sides(amount: Amount, decimals: int = 1) -> tuple[str, str]:
    """By the device and by the reference."""
    device, reference = amount.device_value, amount.reference_value
    return words.number(device, decimals=decimals), words.number(reference, decimals=decimals)


def _over_peaks(told: Told) -> str:
    """'−4.2 (−12.0 to +1.1)': the mean, and the range where there are several peaks."""
    amount = told.amounts["peak"]
    mean = words.number(amount.difference, True)
    low, high = (words.number(end, True) for end in told.range())
    return f"{mean} ({low} to {high})" if amount.n > 1 else mean
