"""One device at each activity: bias and limits of agreement over its sessions, with intervals."""

import math

from strapline.ground.vocabulary import ALL_ACTIVITIES, Clocks
from strapline.ground.words import counted, in_words, listed, number, plain, worn_by
from strapline.telling.archive_tables import DeviceTables
from strapline.telling.charts import letters, rows_of, theme
from strapline.telling.charts.chart import Chart
from strapline.telling.charts.marks import Part, mark, panel, quantity, up_to
from strapline.telling.charts.sheet import Sheet, ticks
from strapline.telling.charts.specification import Specification

NOTHING = "No session of this device could be compared with a reference yet."
LIMITS = ("limit_lower", "limit_upper")

_NAMES = {False: 400, True: 330}
_SAID = {False: 390, True: 0}
_ABOVE = 90
_BIAS, _LIMIT = 0.32, 0.68


def draw(tables: DeviceTables, sheet: Sheet) -> Specification:
    """FINDINGS of the device: a row an activity, all of them first.

    Upper line of a row: the bias, its 95 % interval heavy, and thin the span in which a further
    session's bias is expected. Lower line: both limits of agreement and their intervals.
    """
    own = estimates(tables)
    if not own:
        return sheet.saying()
    on = sheet.explained(
        "Device minus reference, bpm. Mark: bias; heavy: its 95 % interval; thin: what a further "
        "session may show. Brackets: limits of agreement, with intervals. Arrow: goes on."
    )
    names, said = _NAMES[on.frame.upright], _SAID[on.frame.upright]
    width = on.width - names - said
    place = rows_of.Rows(len(own), on.height - _ABOVE, most=170, least=84)
    low, high = reach(own)
    axis = {"title": None, "orient": "top", "values": ticks(low, high, width // 110)}
    x = quantity("bpm", (low, high), axis)
    style = on.styles([tables.device])[tables.device]
    zero = mark("rule", [{"bpm": 0}], {"x": x}, color=theme.REFERENCE, strokeWidth=2.5)
    drawn = [zero]
    spans = [
        ("bias_next_session", _BIAS, 3),
        ("bias", _BIAS, 9),
        *((limit, _LIMIT, 3) for limit in LIMITS),
    ]
    for statistic, line, heavy in spans:
        drawn += _spans(own, statistic, line, heavy, x, place, style.colour)
    drawn += _points(own, x, place, style)
    drawn += _names(own, place, names, width, bool(said))
    return on.finished([panel(drawn, width, place.height)], between=40, left=names)


def alt(tables: DeviceTables) -> str:
    """One sentence with the bias at each activity, and its interval where there is one."""
    parts = []
    for activity, known in estimates(tables).items():
        bias = known["bias"]
        name = (
            "over all activities"
            if activity == ALL_ACTIVITIES
            else f"at {in_words(activity).lower()}"
        )
        sessions = counted(int(bias["sessions"]), "session")
        parts.append(f"{name} {_interval(bias)} bpm in {sessions}")
    return f"Bias of {plain(tables.label)}: {listed(parts)}." if parts else NOTHING


def estimates(tables: DeviceTables) -> dict[str, dict[str, dict[str, float]]]:
    """By activity, all first, and statistic: value, low, high, sessions, wearers."""
    wanted = ("bias", "bias_next_session", *LIMITS)
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


def reach(own: dict[str, dict[str, dict[str, float]]]) -> tuple[float, float]:
    """From the lowest to the highest estimate, and some more; intervals may go on beyond."""
    values = [one["value"] for known in own.values() for one in known.values()]
    low, high = min(*values, 0), max(*values, 0)
    more = max(0.35 * (high - low), 2)
    return math.floor(low - more), math.ceil(high + more)


def _spans(
    own: dict[str, dict[str, dict[str, float]]],
    statistic: str,
    line: float,
    heavy: int,
    x: Part,
    place: rows_of.Rows,
    colour: theme.Value,
) -> list[Part]:
    """The intervals of a statistic, with an arrow where one goes on beyond the panel."""
    low, high = x["scale"]["domain"]
    rows, beyond = [], []
    for index, known in enumerate(own.values()):
        one = known.get(statistic)
        if one is None or math.isnan(one["low"]) or math.isnan(one["high"]):
            continue
        ends = {"bpm": round(max(one["low"], low), 2), "end": round(min(one["high"], high), 2)}
        rows.append({"row": index + line, **ends})
        beyond += [{"row": index + line, "bpm": low, "turn": -90}] if one["low"] < low else []
        beyond += [{"row": index + line, "bpm": high, "turn": 90}] if one["high"] > high else []
    across = {"x": x, "x2": up_to("end"), "y": place.y()}
    turn = {"field": "turn", "type": "quantitative", "scale": None, "legend": None}
    arrows = {"x": x, "y": place.y(), "angle": turn}
    look = {"shape": "triangle", "size": 240, "color": colour, "filled": True, "opacity": 1}
    drawn = [mark("rule", rows, across, color=colour, strokeWidth=heavy)]
    return [*drawn, mark("point", beyond, arrows, **look)] if beyond else drawn


def _points(
    own: dict[str, dict[str, dict[str, float]]],
    x: Part,
    place: rows_of.Rows,
    style: theme.Style,
) -> list[Part]:
    def rows(statistic: str, line: float) -> list[dict[str, float]]:
        return [
            {"row": index + line, "bpm": round(known[statistic]["value"], 2)}
            for index, known in enumerate(own.values())
            if statistic in known
        ]

    at = {"x": x, "y": place.y()}
    edge = {"stroke": theme.PAPER, "strokeWidth": 1.5, "opacity": 1}
    bias = {"shape": style.shape, "size": 420, "color": style.colour, "filled": True, **edge}
    bracket = {"baseline": "middle", "fontWeight": 600, "color": style.colour}
    return [
        mark("point", rows("bias", _BIAS), at, **bias),
        mark("text", rows("limit_lower", _LIMIT), at, text="[", align="center", **bracket),
        mark("text", rows("limit_upper", _LIMIT), at, text="]", align="center", **bracket),
    ]


def _names(
    own: dict[str, dict[str, dict[str, float]]],
    place: rows_of.Rows,
    names: int,
    width: int,
    beside: bool,
) -> list[Part]:
    """Activity and counts at the left; the figures at the right, or beneath where it is narrow."""
    activities = list(map(in_words, own))
    room = names - 24
    first = [(i, letters.fitted(t, room, theme.LABEL, True)) for i, t in enumerate(activities)]
    bias = [f"{_interval(known['bias'])} bpm" for known in own.values()]
    limits = [
        " to ".join(number(known[limit]["value"], plus=True) for limit in LIMITS)
        if all(limit in known for limit in LIMITS)
        else ""
        for known in own.values()
    ]
    counts = [
        f"{counted(int(known['bias']['sessions']), 'session')}, "
        f"{worn_by(int(known['bias']['wearers']))}"
        for known in own.values()
    ]
    beneath = [letters.fitted(count, room, theme.SMALL) for count in counts]
    drawn = [
        place.words(first, -names, fontWeight=600, dy=-17),
        place.words(enumerate(beneath), -names, fontSize=theme.SMALL, dy=19),
    ]
    if beside:
        small = {"fontSize": theme.SMALL}
        drawn += [
            place.words(enumerate(bias), width + 24, dy=-17, fontWeight=600, **small),
            place.words(enumerate(limits), width + 24, dy=19, **small),
        ]
    return drawn


def _interval(one: dict[str, float]) -> str:
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
    finding="Each activity has a finding of its own; the alternative text says all of them.",
    alt=alt,
    draw=draw,
)
