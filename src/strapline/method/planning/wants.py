"""What a test is to cover: devices, activities and wearers, as stated or as recorded so far."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.records.intake import SessionIntake
from strapline.ground.vocabulary import FIRST_ACTIVITIES, UNSTATED, WORN_AT, Placement, SensorKind
from strapline.method.planning.schedule import Outing

if TYPE_CHECKING:
    from strapline.ground.settings import Plan

WRISTS: dict[str, str] = {Placement.LEFT_WRIST: "left", Placement.RIGHT_WRIST: "right"}

# What a person can have in view.
WEEKS = 4


@dataclass(frozen=True)
class Wants:
    """`elsewhere`: of devices that are for no wrist, the places they may have, the usual first;
    `week`: the activities of a usual week in their order, where the settings say one; `soon`:
    sessions in the next WEEKS weeks."""

    devices: tuple[str, ...]
    activities: tuple[str, ...]
    wearers: tuple[str, ...]
    elsewhere: Mapping[str, tuple[str, ...]]
    week: tuple[str, ...]
    soon: int

    @property
    def on_wrists(self) -> tuple[str, ...]:
        return tuple(device for device in self.devices if device not in self.elsewhere)

    def at_activity(self, activity: str) -> float:
        """Sessions at an activity in a year that goes on like this."""
        often = self.week or self.activities
        return 52 / WEEKS * self.soon * often.count(activity) / len(often)

    def in_a_year(self, device: str, activity: str) -> float:
        """Those of a device: only two at a time are on wrists."""
        at_once = 1.0 if device in self.elsewhere else min(1.0, 2 / len(self.on_wrists))
        return self.at_activity(activity) * at_once


def wants(
    plan: Plan,
    register: Mapping[str, str],
    sessions: pd.DataFrame,
    intakes: Sequence[SessionIntake],
) -> Wants:
    """`register`: the kind of each of its devices that is no reference; `sessions` under SESSIONS;
    `intakes`: the earliest first."""
    held = sessions[sessions["set_aside"].isna()]
    devices = plan.devices or _exporting(register, intakes)
    habits = {entry.device: entry.placement for intake in intakes for entry in intake.tested}
    return Wants(
        devices=devices,
        activities=plan.activities
        or tuple(dict.fromkeys(plan.week))
        or _stated(held["activity"])
        or FIRST_ACTIVITIES,
        wearers=plan.wearers or _stated(held["wearer"]),
        elsewhere={
            device: _places(register[device], habits.get(device))
            for device in devices
            if register.get(device, SensorKind.WRIST) != SensorKind.WRIST
        },
        week=plan.week,
        soon=WEEKS * len(plan.week) or max(_lately(held), WEEKS),
    )


def recorded(intakes: Sequence[SessionIntake], evidence: set[tuple[str, str]]) -> list[Outing]:
    """Each session that is evidence, with what was worn on either wrist; a device worn on both is
    on none. `evidence`: session and device."""
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


def _exporting(register: Mapping[str, str], intakes: Sequence[SessionIntake]) -> tuple[str, ...]:
    """All but those of which there never was more than what an app states."""
    recorded = {entry.device for intake in intakes for entry in intake.tested}
    stated = {entry.device for intake in intakes for entry in intake.stated_alone}
    return tuple(device for device in register if device not in stated - recorded)


def _places(kind: str, habit: str | None) -> tuple[str, ...]:
    """Wrists are for what is made for them: no plan has two devices on one."""
    usual = WORN_AT.get(kind, (Placement.OTHER,))
    if habit is None or habit in (Placement.OTHER, *WRISTS):
        return usual
    return tuple(dict.fromkeys((habit, *usual)))


def _lately(held: pd.DataFrame) -> int:
    """Sessions in the WEEKS weeks up to the last one: a person goes on as they did."""
    begun = held["started_at"].dropna()
    return int((begun > begun.max() - pd.Timedelta(weeks=WEEKS)).sum()) if len(begun) else 0


def _stated(names: pd.Series) -> tuple[str, ...]:
    return tuple(sorted({str(name) for name in names} - {UNSTATED}))
