"""The part of a session's page on what the readings would have meant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from strapline.ground import words
from strapline.ground.records.intake import SessionIntake
from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.vocabulary import Clocks
from strapline.ground.words import clock, plain
from strapline.method.agreement.effort import BAND_STARTS_PERCENT, EFFORT_BANDS
from strapline.method.consequences.told import Told
from strapline.telling.report import phrases
from strapline.telling.report.consequence_sentences import DECIMALS, sentences, wanting_sentence

CAUTION = (
    "These are sums over readings, not measurements of a body, and no advice on health or "
    "training: for either, ask a qualified professional and keep to local rules."
)


@dataclass(frozen=True)
class Quantity:
    """What a quantity of CONSEQUENCES is called, and what it means."""

    title: str
    meaning: str


QUANTITIES = {
    "band:very_light": Quantity("Very light, min", "Below all that follow."),
    **{
        f"band:{band}": Quantity(
            f"{words.in_words(band)}, min", f"From {start:g} % of the maximum."
        )
        for band, start in zip(EFFORT_BANDS[1:], BAND_STARTS_PERCENT, strict=True)
    },
    "wrong_band": Quantity("In a wrong band, min", "Where strap and device differ in the band."),
    "above": Quantity("Above the alarm, min", "Above the share of the maximum that sounds it."),
    "above_missed": Quantity("Missed, min", "The strap above it, the device not."),
    "above_invented": Quantity("Invented, min", "The device above it, the strap not."),
    "banister": Quantity("Training impulse (Banister)", "Minutes, weighed the more the harder."),
    "edwards": Quantity("Zone load (Edwards)", "Minutes, weighed 1 to 5."),
    "energy": Quantity("Energy (Keytel), kJ", "Estimated from heart rate."),
    "peak": Quantity("Height of peaks, bpm", "Mean over the strap’s peaks."),
    "peak_delay": Quantity("Delay of peaks, s", "How late the device’s came, on average."),
    "recovery": Quantity("Fall within a minute, bpm", "After the hardest effort."),
}


def section(
    consequences: pd.DataFrame, intake: SessionIntake, maximum: MaximumHeartRate | None
) -> dict[str, Any] | None:
    """What there is to show of the rows under CONSEQUENCES; None where nothing was compared."""
    rows = consequences[consequences["alignment"] == Clocks.SETTLED]
    every = [(plain(r.label), Told.of(rows, r.recording)) for r in intake.tested]
    devices = [(label, told) for label, told in every if told is not None]
    if not devices:
        return None
    return {
        "sentences": [sentences(label, told) for label, told in devices],
        "wanting": wanting_sentence(intake.body),
        "ground": phrases.effort_sentence(maximum),
        "caution": CAUTION,
        "devices": devices,
        "table": table(devices),
        "peaks": [(label, peak_rows(told)) for label, told in devices if told.peaks["peak"]],
    }


def table(devices: Sequence[tuple[str, Told]]) -> list[tuple[str, str, list[list[str]]]]:
    """A row a quantity of which there is any: its title, its meaning and, a device each, the
    reference, the device, the difference and its interval."""
    rows = []
    for name, quantity in QUANTITIES.items():
        known = [told.amounts[name] for _, told in devices if name in told.amounts]
        if any(amount.reference_value or amount.device_value for amount in known):
            cells = [_cells(told, name) for _, told in devices]
            rows.append((quantity.title, quantity.meaning, cells))
    return rows


def peak_rows(told: Told) -> list[list[str]]:
    """A row a peak: when, the reference, the device, the difference, how late."""
    late = {delay.at_s: delay.difference for delay in told.peaks["peak_delay"]}
    return [
        [
            clock(peak.at_s or 0),
            words.number(peak.reference_value),
            words.number(peak.device_value),
            words.number(peak.difference, plus=True),
            words.number(late.get(peak.at_s), plus=True, decimals=0),
        ]
        for peak in told.peaks["peak"]
    ]


def _cells(told: Told, name: str) -> list[str]:
    amount = told.amounts.get(name)
    if amount is None:
        return [words.MISSING] * 3 + [""]
    decimals = DECIMALS.get(name, 1)
    values = amount.reference_value, amount.device_value
    changes = amount.difference, amount.low, amount.high
    difference, low, high = (words.number(value, True, decimals) for value in changes)
    return [
        *(words.number(value, decimals=decimals) for value in values),
        difference,
        "" if words.MISSING in (low, high) else f"{low} to {high}",
    ]
