"""No text of a picture leaves its frame or meets another, at the longest names allowed.

Texts are measured with Pillow, a general-purpose library, in the bundled letters.
"""

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations

import pandas as pd
import pytest
from PIL import ImageFont

from strapline.ground.records.register import Device
from strapline.ground.tables.archive import FINDINGS, PLACEMENTS, SESSIONS
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.telling.archive_tables import DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.font import font_file
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.drawings.frame import ACROSS, UPRIGHT
from strapline.telling.drawings.size import SIZES
from unit.charts.drawings import drawing_of, frame_of
from unit.charts.full_tables import bands, episodes, offsets

pytestmark = pytest.mark.slow

LONGEST = next(
    m.max_length for m in Device.model_fields["label"].metadata if hasattr(m, "max_length")
)
NAMES = {
    "wide letters": "W" * LONGEST,
    "words": ("Extraordinary wristwatch of many words " * 2)[:LONGEST].strip(),
    "ordinary": "Watch",
}
CREDIT = "C" * 120
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
    return ImageFont.truetype(font_file("SemiBold" if bold else "Regular"), size)


def boxes(drawing):
    """The box of every line of text, from cap height to baseline."""
    root = ElementTree.fromstring(drawing)
    view = [float(number) for number in root.get("viewBox").split()]
    found = []

    def walk(element, x, y):
        moved = re.match(r"translate\(([-\d.]+),([-\d.]+)\)", element.get("transform", ""))
        if moved:
            x, y = x + float(moved[1]), y + float(moved[2])
        # What is turned runs beside its neighbours.
        turned = "rotate" in element.get("transform", "")
        if element.tag == f"{SVG}text" and not turned:
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


def check(chart, picture, size):
    found, (left, top, wide, high) = boxes(drawing_of(chart, picture, size))
    assert found and wide <= 1.02 * size.width, wide
    for box in found:
        assert box.left >= left - 1 and box.right <= left + wide + 1, box
        assert box.top >= top - 1 and box.bottom <= top + high + 1, box
    for one, other in combinations(found, 2):
        assert not one.meets(other), (one, other)


@pytest.mark.parametrize("frame", [ACROSS, UPRIGHT])
def test_titles_and_credit_of_a_frame(of_session, build_intake, frame):
    intake = build_intake("W" * LONGEST).model_copy(update={"activity": "w" * 40})
    for chart in SESSION_CHARTS[:1]:
        picture = chart.of(of_session(intake=intake), [])
        framed = frame_of(chart, picture, frame, CREDIT)
        words, (left, top, wide, high) = boxes(framed.partition("</text><svg")[0] + "</text></svg>")
        for box in words:
            assert box.left >= left and box.right <= left + wide and box.bottom <= top + high, box
        for one, other in combinations(words, 2):
            assert not one.meets(other), (one, other)


@pytest.mark.parametrize("frame", [ACROSS, UPRIGHT])
def test_a_long_title_of_a_frame_is_smaller_and_not_cut(of_session, frame):
    title = ", ".join(["Lantern watch late for 3 min 31 s, by its sensor or its clock"] * 3)
    picture = replace(SESSION_CHARTS[0].of(of_session(), []), title=title)
    framed = frame_of(SESSION_CHARTS[0], picture, frame, CREDIT)
    words, _ = boxes(framed.partition("<svg x=")[0] + "</svg>")
    assert " ".join(box.text for box in words).startswith(title)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_of_a_session(aligned, of_session, build_intake, size, name):
    intake = build_intake(name, name, reference=name).model_copy(update={"activity": "w" * 40})
    tables = of_session(
        intake=intake, offsets=offsets(), episodes=episodes(aligned), consequences=bands()
    )
    for chart in SESSION_CHARTS:
        check(chart, chart.of(tables, []), size)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_of_many_sessions(archive_metrics, standings_table, of_archive, size, name):
    activities = {"strength": "w" * 40, "running": "running"}
    table, metrics = (
        each.assign(activity=each["activity"].astype(str).replace(activities))
        for each in (standings_table, archive_metrics)
    )
    where = {"watch-0": ("left_wrist", "1"), "watch-1": ("other", None)}
    known = metrics[["session", "device", "recording"]].drop_duplicates()
    worn = [
        {**one, "placement": where[one["device"]][0], "firmware": where[one["device"]][1]}
        for one in known.astype(str).to_dict("records")
    ]
    worn[1] |= {"placement": "right_wrist", "firmware": "W" * 40}
    days = pd.to_datetime(["2026-03-01", "2026-03-09", "2026-03-10", "2026-03-11"], utc=True)
    sessions = [
        {"session": f"s-{place}", "title": "t", "wearer": "w", "activity": "w", "started_at": day}
        | {"devices": 2, "clocks_aligned": 0, "clocks_left": 0}
        for place, day in enumerate(days, 1)
    ]
    row = {"device": "watch-0", "alignment": "settled", "unit": "bpm", "minutes": 3.0}
    findings = FINDINGS.from_rows(
        [
            row | {"activity": a, "statistic": s, "value": v, "sessions": 1000, "wearers": 100}
            for a in (ALL_ACTIVITIES, "w" * 40, "running")
            for s, v in (("bias", -5.0), ("limit_lower", -22.2), ("limit_upper", 11.1))
        ]
    )
    tables = of_archive(
        (name, name),
        standings=table,
        whole_sessions=metrics,
        findings=findings,
        placements=PLACEMENTS.from_rows(worn),
        sessions=SESSIONS.from_rows(sessions),
    )
    for charts, about in (
        (ARCHIVE_CHARTS, tables),
        (DEVICE_CHARTS, DeviceTables("watch-0", tables)),
    ):
        for chart in charts:
            check(chart, chart.of(about, []), size)
