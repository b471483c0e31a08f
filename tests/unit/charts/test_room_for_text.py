"""No text of a picture leaves its frame or meets another, at the longest names allowed.

Texts are measured with Pillow, a general-purpose library, in the bundled letters.
"""

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from functools import cache
from itertools import combinations

import pandas as pd
import pytest
from PIL import ImageFont

from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.register import Device
from strapline.ground.settings import Presentation, Tolerance
from strapline.ground.tables.archive import FINDINGS
from strapline.ground.tables.sessions import CONSEQUENCES, EPISODES, OFFSETS
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.method.agreement.effort import EFFORT_BANDS
from strapline.telling.charts import render, theme
from strapline.telling.charts.device_charts import device_charts
from strapline.telling.charts.heat import heat_table
from strapline.telling.charts.session_charts import session_charts
from strapline.telling.charts.sessions_map import sessions_map
from strapline.telling.charts.standings import standings

LONGEST = next(
    m.max_length for m in Device.model_fields["label"].metadata if hasattr(m, "max_length")
)
NAMES = {
    "wide letters": "W" * LONGEST,
    "words": ("Extraordinary wristwatch of many words " * 2)[:LONGEST].strip(),
    "ordinary": "Watch",
}
LOOK = Presentation(credit="C" * 120)
SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Box:
    text: str
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other):
        """Whether letters touch; a pixel or so is the rounding."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > 1.5 and down > 1.5


@cache
def font(bold, size):
    return ImageFont.truetype(theme.font_file("SemiBold" if bold else "Regular"), size)


def boxes(drawing):
    """The box of every line of text, from cap height to baseline."""
    root = ElementTree.fromstring(drawing)
    view = [float(number) for number in root.get("viewBox").split()]
    found = []

    def walk(element, x, y):
        moved = re.match(r"translate\(([-\d.]+),([-\d.]+)\)", element.get("transform", ""))
        if moved:
            x, y = x + float(moved[1]), y + float(moved[2])
        if element.tag == f"{SVG}text":
            found.extend(lines(element, x, y))
        for child in element:
            walk(child, x, y)

    walk(root, 0, 0)
    return found, view


def lines(element, x, y):
    size = round(float(element.get("font-size").removesuffix("px")))
    letters = font(element.get("font-weight") == "600", size)
    spans = list(element) or [element]
    for span in spans:
        y += float(span.get("dy", 0)) if span is not element else 0
        text = span.text or ""
        wide = letters.getlength(text)
        shift = {"start": 0, "middle": -wide / 2, "end": -wide}[element.get("text-anchor", "start")]
        if text:
            yield Box(text, x + shift, y - 0.73 * size, x + shift + wide, y)


def check(chart):
    found, (left, top, wide, high) = boxes(render.drawn(chart))
    assert found
    for box in found:
        assert box.left >= left and box.right <= left + wide, box
        assert box.top >= top and box.bottom <= top + high, box
    for one, other in combinations(found, 2):
        assert not one.meets(other), (one, other)


def episodes(aligned):
    """One kind after the other, some of a few seconds only."""
    start = aligned["time"].min()
    kinds = ("no_value", "follows_cadence", "stuck", "slow_to_follow", "spike", "reads_high")
    spans = [(kind, 20 + 30 * i, 32 + 30 * i) for i, kind in enumerate(kinds * 3)]
    return EPISODES.from_rows(
        [
            {
                "session": "s-1",
                "wearer": "w",
                "activity": "strength",
                "device": device,
                "recording": device,
                "kind": kind,
                "start": start + pd.Timedelta(seconds=first),
                "end": start + pd.Timedelta(seconds=last),
                "start_s": first,
                "end_s": last,
                "share": 0.02,
                "on_track_after_s": 0,
                "evidence": "told",
            }
            for device in ("watch-0", "watch-1")
            for kind, first, last in spans
        ]
    )


def bands():
    """Ten hours in each band."""
    common = {"session": "s-1", "wearer": "w", "activity": "strength", "alignment": "aligned"}
    values = {"reference_value": 600.0, "device_value": 599.9, "difference": -0.1, "unit": "min"}
    return CONSEQUENCES.from_rows(
        [
            common
            | values
            | {"device": d, "recording": d, "quantity": f"band:{band}", "n": 9, "from_bpm": bpm}
            for d in ("watch-0", "watch-1")
            for band, bpm in zip(EFFORT_BANDS, (0.0, 107.2, 120.3, 144.8, 180.5), strict=True)
        ]
    )


@pytest.mark.parametrize("frame", [theme.WIDE, theme.UPRIGHT], ids=["wide", "upright"])
@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_of_a_session(aligned, metrics, build_intake, frame, name):
    intake = build_intake(name, name, reference=name).model_copy(update={"activity": "w" * 40})
    offsets = OFFSETS.from_rows(
        [
            {"recording": d, "device": d, "offset_s": s, "mae": 3 + abs(s), "bias": 0.0, "n": 600}
            for d in ("watch-0", "watch-1")
            for s in range(-60, 61)
        ]
    )
    clocks = SessionAlignment(session="s-1", reference="strap", clocks=())
    tables = (intake, aligned, metrics, clocks, offsets, episodes(aligned), bands())
    for chart in session_charts(*tables, Tolerance(), LOOK, (), frame).values():
        check(chart)


@pytest.mark.parametrize("frame", [theme.WIDE, theme.UPRIGHT], ids=["wide", "upright"])
@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_of_many_sessions(archive_metrics, standings_table, frame, name):
    labels = {"watch-0": name, "watch-1": name}
    activities = {"strength": "w" * 40, "running": "running"}
    table, metrics = (
        each.assign(activity=each["activity"].astype(str).replace(activities))
        for each in (standings_table, archive_metrics)
    )
    worn = pd.DataFrame(
        {
            "session": ["a", "b", "c"],
            "device": ["watch-0", "watch-0", "watch-1"],
            "activity": ["w" * 40, "running", "w" * 40],
            "started_at": pd.to_datetime(["2026-03-01", "2026-03-09", "2026-03-10"], utc=True),
            "placement": ["left_wrist", "right_wrist", "other"],
            "firmware": ["1", "W" * 40, None],
            "mae": [2.0, 4.0, 10.0],
        }
    )
    row = {"device": "watch-0", "alignment": "aligned", "unit": "bpm", "minutes": 3.0}
    findings = FINDINGS.from_rows(
        [
            row | {"activity": a, "statistic": s, "value": v, "sessions": 1000, "wearers": 100}
            for a in (ALL_ACTIVITIES, "w" * 40, "running")
            for s, v in (("bias", -5.0), ("limit_lower", -22.2), ("limit_upper", 11.1))
        ]
    )
    for chart in (
        standings(metrics, table, LOOK, labels, frame=frame),
        heat_table(table, LOOK, labels, frame=frame),
        sessions_map(worn, LOOK, labels, frame),
        *device_charts("watch-0", name, findings, worn, LOOK, (), frame).values(),
    ):
        check(chart)
