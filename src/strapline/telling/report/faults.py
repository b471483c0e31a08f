"""What goes wrong with a device and how often, in sentences and a table."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from strapline.ground.settings import Claims
from strapline.ground.vocabulary import (
    ALL_ACTIVITIES,
    ANY_KIND,
    Fault,
    Strength,
)
from strapline.ground.words import (
    bpm,
    counted,
    in_figures,
    in_words,
    lasting,
    listed,
    number,
    plain,
)
from strapline.method.claims.claim import Claim, Ground
from strapline.method.episodes import kinds
from strapline.method.metrics.value import Value
from strapline.telling.report.conditions import condition_claim, minutes

NAMES = {ANY_KIND: "Any fault", Fault.SLOW_TO_FOLLOW: "Late (counted as no fault)"}

Row = Mapping[Any, Any]


@dataclass(frozen=True)
class DeviceFaults:
    """What a device's page shows of FAULTS and CONDITIONS.

    weakness: by activity, what took most time; columns: activity and its sessions; rows: of the
    table of kinds; looked_at: contrasts that had sessions enough, of all devices.
    """

    sentences: list[str]
    weakness: dict[str, str]
    columns: list[tuple[str, int]]
    rows: list[dict[str, Any]]
    conditions: list[Claim]
    looked_at: int


def device_faults(
    device: str, label: str, faults: pd.DataFrame, conditions: pd.DataFrame, claims: Claims
) -> DeviceFaults:
    own = faults[faults["device"] == device].astype({"activity": str, "kind": str})
    cells = {(row["activity"], row["kind"]): row for row in own.to_dict("records")}
    found = conditions[conditions["device"] == device].to_dict("records")
    # Of two values each held against the other, one says it.
    judged = list(
        {
            (row["condition"], round(abs(row["difference"]), 6)): row
            for row in reversed(found)
            if not math.isnan(row["p_family"])
        }.values()
    )[::-1]
    activities = _columns(cells)
    told = _over(cells)
    shown = (ANY_KIND, *_that_count(), Fault.SLOW_TO_FOLLOW) if told else ()
    return DeviceFaults(
        sentences=list(fault_sentences(label, cells, claims)) if told else _uncounted(activities),
        weakness={activity: _weakness(activity, cells) for activity in activities},
        columns=[(activity, int(cells[activity, ANY_KIND]["sessions"])) for activity in activities],
        rows=[_table_row(kind, activities, cells, claims) for kind in shown],
        conditions=[condition_claim(label, row) for row in judged],
        looked_at=int(conditions["p"].notna().sum()),
    )


def fault_sentences(
    label: str, cells: Mapping[tuple[str, str], Row], claims: Claims
) -> Iterator[str]:
    """From the whole to the parts: all faults, the one that takes most time, and what never was."""
    over = _over(cells)
    name, whole = plain(label), cells[over, ANY_KIND]
    ground = _ground(whole)
    if not whole["episodes"]:
        yield f"In {ground.these} no fault of {name} was found ({ground})."
        looked_for = [k for k in _that_count() if cells[over, k]["sessions_looked_for"]]
        yield from _late(cells)
        yield f"None of the {len(looked_for)} kinds that could be looked for occurred."
        yield from _never_looked_for(cells)
        return
    overall = (cells[over, kind] for kind in _that_count())
    main = max((cell for cell in overall if cell["episodes"]), key=_rate_of_all)
    if ground.strength(claims) == Strength.DID:
        hourly = minutes(_rate(whole))
        yield (
            f"In {ground.these} {name} was not right for {hourly} in the hour ({ground}): too "
            "little to say more."
        )
        yield _what_most(main, whole)
        yield from _late(cells)
        return
    activities = _columns(cells)
    of_what = "All its activities counting alike," if len(activities) > 1 else _at(activities[0])
    yield f"{of_what} {name} was not right for {minutes(_rate(whole))} in the hour {_known(whole)}."
    yield _what_most(main, whole)
    yield from _late(cells)
    yield from _never_occurred(cells)
    yield from _never_looked_for(cells)


def _weakness(activity: str, cells: Mapping[tuple[str, str], Row]) -> str:
    """'In strength it read low in 3 of 3 sessions, for 21.4 minutes in the hour, 30.1 bpm off.'"""
    own = [cells[activity, kind] for kind in kinds.in_order()]
    main = max(own, key=_rate)
    if not main["episodes"]:
        return ""
    off = "" if math.isnan(main["mean_error_bpm"]) else f", {bpm(main['mean_error_bpm'])} off"
    often = f" in {main['sessions_with']} of {main['sessions']} sessions,"
    did = f"{kinds.kind(main['kind']).did}{often if main['sessions'] > 1 else ''}"
    hourly = f"{minutes(_rate(main))} in the hour{off}"
    return f"In {in_words(activity).lower()} it {did} for {hourly}."


def _what_most(main: Row, whole: Row) -> str:
    """The kind that took most time, as a part of the whole where it was looked for in all of it."""
    did, looked_for = kinds.kind(main["kind"]).did, int(main["sessions_looked_for"])
    often = f", in {main['sessions_with']} of " if looked_for > 1 else ""
    if looked_for < main["sessions"]:
        lead = (
            f"In the {counted(looked_for, 'session')} in which that could be told, it {did} for "
            f"{minutes(_rate(main))} in the hour{often and f'{often}them'}"
        )
    else:
        sessions = often and f"{often}{looked_for} sessions"
        lead = f"{_of_that(_rate(main), _rate(whole))} it {did}{sessions}"
    by = "" if math.isnan(main["mean_error_bpm"]) else f", {bpm(main['mean_error_bpm'])} off"
    length = f"{'typically ' if main['episodes'] > 1 else ''}for {lasting(main['median_length_s'])}"
    return f"{lead}: {length}{by}."


def _of_that(part: float, whole: float) -> str:
    if round(part, 1) == round(whole, 1):
        return "All of that time"
    return f"For {'most' if part > whole / 2 else 'the largest part'} of that, {minutes(part)},"


def _never_occurred(cells: Mapping[tuple[str, str], Row]) -> Iterator[str]:
    """What could be looked for in every session first."""
    by_sessions: dict[int, list[str]] = {}
    for kind in kinds.KINDS:
        cell = cells[_over(cells), kind.key]
        if cell["sessions_looked_for"] and not cell["episodes"]:
            own = by_sessions.setdefault(int(cell["sessions_looked_for"]), [])
            own.append(kind.name.lower())
    for sessions, names in sorted(by_sessions.items(), reverse=True):
        every = sessions == cells[_over(cells), ANY_KIND]["sessions"]
        where = "" if every else " in which it could be looked for"
        yield f"What did not occur in {counted(sessions, 'session')}{where}: {', '.join(names)}."


def _late(cells: Mapping[tuple[str, str], Row]) -> Iterator[str]:
    """What is no fault of the device for certain, with its size and where it was most."""
    cell = cells[_over(cells), Fault.SLOW_TO_FOLLOW]
    if not cell["episodes"]:
        return
    off = "" if math.isnan(cell["mean_error_bpm"]) else f", {bpm(cell['mean_error_bpm'])} off"
    sessions = in_figures(int(cell["sessions_looked_for"]), "session")
    own = [cells[at, Fault.SLOW_TO_FOLLOW] for at in _columns(cells) if at != ALL_ACTIVITIES]
    worst = max((row for row in own if row["episodes"]), key=_rate)
    most = f", most in {in_words(worst['activity']).lower()} ({number(_rate(worst))})"
    yield (
        f"It was late for {minutes(_rate(cell))} in the hour, in {cell['sessions_with']} of "
        f"{sessions}{off}{most if len(own) > 1 else ''}."
    )


def _never_looked_for(cells: Mapping[tuple[str, str], Row]) -> Iterator[str]:
    names = [
        kind.name.lower()
        for kind in kinds.KINDS
        if not cells[_over(cells), kind.key]["sessions_looked_for"]
    ]
    if names:
        yield f"What could not be looked for in any session: {', '.join(names)}."


def _columns(cells: Mapping[tuple[str, str], Row]) -> list[str]:
    """Activities, and the total where there are several."""
    every = {activity for activity, _ in cells}
    single = sorted(every - {ALL_ACTIVITIES})
    return [*single, ALL_ACTIVITIES] if len(single) > 1 and ALL_ACTIVITIES in every else single


def _over(cells: Mapping[tuple[str, str], Row]) -> str:
    """What is said of a device is of all its activities; where the settings count none of those,
    of the one that it did, and '' where they are several."""
    activities = {activity for activity, _ in cells}
    if ALL_ACTIVITIES in activities:
        return ALL_ACTIVITIES
    return activities.pop() if len(activities) == 1 else ""


def _uncounted(activities: list[str]) -> list[str]:
    if not activities:
        return []
    did = listed([in_words(activity).lower() for activity in activities])
    return [f"None of its activities is among those that count over all ({did})."]


def _table_row(
    kind: str, activities: list[str], cells: Mapping[tuple[str, str], Row], claims: Claims
) -> dict[str, Any]:
    whole = cells[_over(cells), kind]
    return {
        "name": kind_name(kind),
        "values": [_value(cells[activity, kind], claims) for activity in activities],
        "sessions_with": whole["sessions_with"],
        "length": lasting(whole["median_length_s"]) if whole["episodes"] else "–",
        "error": whole["mean_error_bpm"],
        "came_back": _back(whole) if whole["episodes"] else "–",
    }


def kind_name(kind: str) -> str:
    """What a row of FAULTS is of, in words."""
    return NAMES.get(kind) or kinds.kind(kind).name


def _value(cell: Row, claims: Claims) -> Value:
    """With its interval where there is enough to have one."""
    if _ground(cell).strength(claims) == Strength.DID:
        return Value(_rate(cell))
    return Value(_rate(cell), cell["low"], cell["high"])


def _rate(row: Row) -> float:
    return float(row["minutes_per_hour"])


def _rate_of_all(row: Row) -> float:
    """Of all sessions, as if nothing occurred where it could not be looked for."""
    return _rate(row) * float(row["sessions_looked_for"]) / float(row["sessions"])


def _ground(row: Row) -> Ground:
    return Ground(int(row["sessions"]), int(row["wearers"]), float(row["minutes"]))


def _known(row: Row) -> str:
    ground = _ground(row)
    if math.isnan(row["low"]):
        return f"({ground})"
    return f"(95 % interval {number(row['low'])} to {number(row['high'])}; {ground})"


def _back(row: Row) -> str:
    return f"{row['came_back']} of {row['episodes']}"


def _at(activity: str) -> str:
    return f"{in_words(activity)}:"


def _that_count() -> list[str]:
    """The kinds of fault, lateness not among them."""
    return [key for key in kinds.in_order() if key != Fault.SLOW_TO_FOLLOW]
