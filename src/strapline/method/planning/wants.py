"""What a test is to cover: devices, activities and wearers, as stated or as recorded so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.records.intake import SessionIntake
from strapline.ground.vocabulary import UNSTATED, Placement
from strapline.method.planning.schedule import Outing

if TYPE_CHECKING:
    from strapline.ground.settings import Plan

# Where neither settings nor sessions name an activity: walking, running and cycling as the
# expert statement has it (Mühlen et al. 2021), and what moves or strains the wrist.
FIRST_ACTIVITIES = ("walk", "run", "ride", "intervals", "strength")

WRISTS: dict[str, str] = {Placement.LEFT_WRIST: "left", Placement.RIGHT_WRIST: "right"}


@dataclass(frozen=True)
class Wants:
    devices: tuple[str, ...]
    activities: tuple[str, ...]
    wearers: tuple[str, ...]


def wants(plan: Plan, register: Sequence[str], sessions: pd.DataFrame) -> Wants:
    """`register`: its devices that are no reference; `sessions` under SESSIONS."""
    held = sessions[sessions["set_aside"].isna()]
    return Wants(
        devices=plan.devices or tuple(register),
        activities=plan.activities or _stated(held["activity"]) or FIRST_ACTIVITIES,
        wearers=plan.wearers or _stated(held["wearer"]),
    )


def recorded(intakes: Sequence[SessionIntake], evidence: set[tuple[str, str]]) -> list[Outing]:
    """Each session that is evidence, with what was worn on either wrist; a device worn elsewhere,
    or on both, is on none. `evidence`: session and device."""
    found = []
    for intake in intakes:
        wrists: dict[str, str | None] = {"left": None, "right": None}
        names = [entry.device for entry in intake.tested]
        for entry in intake.tested:
            wrist = WRISTS.get(entry.placement)
            counts = (intake.session, entry.device) in evidence
            if wrist and counts and names.count(entry.device) == 1:
                wrists[wrist] = entry.device
        if any((intake.session, name) in evidence for name in names):
            found.append(Outing(intake.activity, intake.wearer, wrists["left"], wrists["right"]))
    return found


def _stated(names: pd.Series) -> tuple[str, ...]:
    return tuple(sorted({str(name) for name in names} - {UNSTATED}))
