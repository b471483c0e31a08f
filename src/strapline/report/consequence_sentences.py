"""What a device's readings would have meant, in sentences whose numbers are the table's."""

from __future__ import annotations

from strapline.consequences.needs import wanting
from strapline.consequences.told import Amount, Told
from strapline.report import words
from strapline.session.card import Body

SAID = {
    "banister": ("Banister’s load", ""),
    "edwards": ("Edwards’ load", ""),
    "energy": ("the energy", " kJ"),
    "recovery": ("the fall after the hardest effort", " bpm"),
}
LOADS = ("banister", "edwards", "energy")
# Of tenths of a kJ no such formula knows.
DECIMALS = {"energy": 0}


def sentences(label: str, told: Told) -> list[str]:
    """At most four, each with its numbers."""
    return [_bands(label, told), _alarm(told), *_loads(told), *_efforts(told)]


def wanting_sentence(body: Body) -> str:
    """What is not told, and which keys the session's card lacks for it; '' where nothing is."""
    lacking = [f"{SAID[name][0]} ({', '.join(keys)})" for name, keys in wanting(body).items()]
    if not lacking:
        return ""
    return f"Not told, for want of keys under body in the session’s card: {'; '.join(lacking)}."


def _bands(label: str, told: Told) -> str:
    wrong, total = told.amounts["wrong_band"].device_value, told.seconds / 60
    return (
        f"{label} put {words.number(wrong)} of {words.number(total)} minutes "
        f"({words.percent(100 * wrong / total)}) in a wrong band of effort."
    )


def _alarm(told: Told) -> str:
    above = told.amounts["above"]
    limit = words.bpm(above.from_bpm)
    if above.reference_value == above.device_value == 0:
        return f"Neither it nor the strap was ever above {limit}."
    missed, invented = (
        words.number(told.amounts[f"above_{what}"].device_value) for what in ("missed", "invented")
    )
    return (
        f"The strap was above {limit} for {words.number(above.reference_value)} min; the device "
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


def _efforts(told: Told) -> list[str]:
    parts = []
    if "peak" in told.amounts:
        count = told.amounts["peak"].n
        at_peaks = f"At {count} {'peak' if count == 1 else 'peaks'} it was off by "
        at_peaks += f"{_over_peaks(told, 'peak', 1)} bpm"
        if "peak_delay" in told.amounts:
            at_peaks += f" and came {_over_peaks(told, 'peak_delay', 0)} s late"
        parts.append(at_peaks)
    if "recovery" in told.amounts:
        device, reference = _sides(told.amounts["recovery"])
        parts.append(
            f"in the minute after the hardest effort it fell by {device} bpm, the strap by "
            f"{reference} bpm"
        )
    return [f"{'; '.join(parts)}."] if parts else []


def _sides(amount: Amount, decimals: int = 1) -> tuple[str, str]:
    """By the device and by the reference."""
    device, reference = amount.device_value, amount.reference_value
    return words.number(device, decimals=decimals), words.number(reference, decimals=decimals)


def _over_peaks(told: Told, quantity: str, decimals: int) -> str:
    """'−4.2 (−12.0 to +1.1)': the mean, and the range where there are several peaks."""
    amount = told.amounts[quantity]
    mean = words.number(amount.difference, True, decimals)
    low, high = (words.number(end, True, decimals) for end in told.range(quantity))
    return f"{mean} ({low} to {high})" if amount.n > 1 else mean
