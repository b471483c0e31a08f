"""One device at each activity: bias and limits of agreement over its sessions, with intervals."""

import math
from collections.abc import Mapping, Sequence

from strapline.ground.vocabulary import ALL_ACTIVITIES, Clocks
from strapline.ground.words import counted, in_words, listed, number, plain
from strapline.telling.archive_tables import DeviceTables
from strapline.telling.charts import letters
from strapline.telling.charts.chart import Chart
from strapline.telling.charts.ends import ROOM_OF_ROW
from strapline.telling.charts.picture import Content, by_column
from strapline.telling.charts.places import places
from strapline.telling.charts.tenth import number as number_of

NOTHING = "No session of this device could be compared with a reference yet."
LIMITS = ("limit_lower", "limit_upper")


def content(tables: DeviceTables, bench: Sequence[str]) -> Content | None:
    """FINDINGS of the device: a row an activity, all of them first."""
    own = estimates(tables)
    if not own:
        return None
    place = places([tables.device], bench)[tables.device]
    drawn = [_drawn(known) for known in own.values()]
    left, right = _reach(drawn)
    rows = [
        {"row": row, "place": place, **_words(*one), **marks}
        for row, (one, marks) in enumerate(zip(own.items(), drawn, strict=True))
    ]
    limits = any(row["limits"] for row in rows)
    return Content(
        "Device minus strap, bpm. Dot: bias; bar: its 95 % interval"
        + ("; pale bar: from one limit of agreement to the other." if limits else "."),
        {"rows": by_column(rows)},
        {"left": left, "right": right, "places": {"device": place}},
    )


def finding(tables: DeviceTables) -> str:
    """'Bias so far from −4.1 bpm at strength to +0.1 bpm at run'; of one activity, '+0.1 bpm in 4
    sessions'."""
    found = {at: known["bias"] for at, known in estimates(tables).items()}
    single = [at for at in found if at != ALL_ACTIVITIES]
    if len(single) > 1:
        low, high = (end(single, key=lambda at: found[at]["value"]) for end in (min, max))
        return f"Bias so far from {_bpm_at(low, found)} to {_bpm_at(high, found)}"
    for bias in found.values():
        said = number(bias["value"], plus=True)
        return f"Bias so far {said} bpm in {counted(int(bias['sessions']), 'session')}"
    return ""


def _bpm_at(activity: str, found: Mapping[str, Mapping[str, float]]) -> str:
    return f"{number(found[activity]['value'], plus=True)} bpm at {in_words(activity).lower()}"


def alt(tables: DeviceTables) -> str:
    """One sentence with the bias at each activity, and its interval where there is one."""
    parts = []
    for activity, known in estimates(tables).items():
        bias = known["bias"]
        of_all = activity == ALL_ACTIVITIES
        kind = "session" if of_all else f"{in_words(activity).lower()} session"
        sessions = counted(int(bias["sessions"]), kind)
        over = " over all activities" if of_all else ""
        parts.append(f"{_interval(bias)} bpm in {sessions}{over}")
    return f"Bias of {plain(tables.label)}: {listed(parts)}." if parts else NOTHING


def estimates(tables: DeviceTables) -> dict[str, dict[str, dict[str, float]]]:
    """By activity, all first, and statistic: value, low, high, sessions, wearers."""
    wanted = ("bias", *LIMITS)
    findings = tables.archive.findings
    rows = findings[
        (findings["device"] == tables.device)
        & (findings["alignment"] == Clocks.SETTLED)
        & findings["statistic"].isin(wanted)
        & findings["value"].notna()
    ].astype({"activity": str, "statistic": str})
    found: dict[str, dict[str, dict[str, float]]] = {}
    columns = ["value", "low", "high", "sessions", "wearers"]
    for activity in sorted(set(rows["activity"]), key=lambda name: (name != ALL_ACTIVITIES, name)):
        own = rows[rows["activity"] == activity].set_index("statistic")
        if "bias" in own.index:
            found[activity] = own[columns].astype(float).to_dict("index")
    return found


def _reach(rows: Sequence[Mapping[str, float | None]]) -> tuple[int, int]:
    """From the lowest to the highest value, zero among them, and a little more."""
    values = [
        0.0,
        *(row[name] or 0 for row in rows for name in ("lower", "upper", "low", "high", "bias")),
    ]
    more = 0.05 * (max(values) - min(values)) + 0.5
    return math.floor(min(values) - more), math.ceil(max(values) + more)


def _drawn(known: Mapping[str, Mapping[str, float]]) -> dict[str, float | None]:
    bias = known["bias"]
    ends = dict(zip(("lower", "upper"), LIMITS, strict=True))
    found = {"bias": bias["value"], "low": bias["low"], "high": bias["high"]}
    found |= {end: known[limit]["value"] for end, limit in ends.items() if limit in known}
    return {name: number_of(found.get(name, math.nan)) for name in (*ends, "low", "high", "bias")}


def _words(activity: str, known: Mapping[str, Mapping[str, float]]) -> dict[str, str]:
    """What stands at either end of its row."""
    bias = known["bias"]
    limits = [number(known[limit]["value"], plus=True) for limit in LIMITS if limit in known]
    return {
        "label": letters.fitted(in_words(activity), ROOM_OF_ROW, 1, bold=True),
        "sessions": counted(int(bias["sessions"]), "session"),
        "said": _interval(bias),
        "limits": f"limits {' to '.join(limits)}" if len(limits) == len(LIMITS) else "",
    }


def _interval(one: Mapping[str, float]) -> str:
    text = number(one["value"], plus=True)
    if math.isnan(one["low"]) or math.isnan(one["high"]):
        return text
    return f"{text} ({number(one['low'], plus=True)} to {number(one['high'], plus=True)})"


FOREST = Chart(
    name="forest",
    about="device",
    section="answer",
    needs=("findings", "devices"),
    question="Bias and limits by activity",
    finding=finding,
    alt=alt,
    content=content,
    told=True,
)
