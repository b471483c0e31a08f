"""The sessions of a device in outline: each where it was, and all on one scale."""

import json
import re
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from strapline.ground.tables.archive import SESSIONS
from strapline.ground.tables.sessions import COURSES
from strapline.method.episodes.averages import PARTS, outline
from strapline.telling.archive_tables import DeviceTables
from strapline.telling.report.device import DEVICE
from strapline.telling.report.outlines import MARKED, MOST, REACH, outlines
from strapline.telling.report.site import rendered


def test_an_outline_has_the_least_and_the_greatest_of_each_part():
    error = np.repeat(np.arange(PARTS) - 20.0, 60)
    error[60:120] = np.nan
    error[120] = 33.4
    found = json.loads(outline(error))
    assert found[:4] == [[-20, -20], None, [-18, 33], [-17, -17]]
    assert len(found) == PARTS
    assert json.loads(outline(np.array([1.0, np.nan]))).count(None) == PARTS - 1


def archive_of(*sessions):
    """COURSES and SESSIONS of one device: activity, day, error, outline."""
    counts = {c.name: 0 for c in COURSES.columns if not c.nullable}
    courses, held = [], []
    for n, (activity, on, error, ends) in enumerate(sessions):
        about = {"session": f"s-{n}", "wearer": "w", "activity": activity}
        watch = {"device": "watch", "recording": "watch", "error_bpm": error}
        courses.append(counts | about | watch | {"outline": json.dumps(ends)})
        known = {"title": "t", "devices": 1, "clocks_aligned": 0, "clocks_left": 0}
        held.append(about | known | {"started_at": pd.Timestamp(on, tz="UTC")})
    return COURSES.from_rows(courses), SESSIONS.from_rows(held)


@pytest.fixture
def told():
    return archive_of(
        ("run", "2026-03-01", 2.0, [[-3, 2], None, [0, 4], [1, 1]]),
        ("run", "2026-03-08", 1.5, [[-1, 1]] * 4),
        ("ride", "2026-03-04", 9.5, [[-33, 0]] * 4),
    )


def test_sessions_of_an_activity_are_on_one_scale_newest_first(told):
    found = outlines("watch", *told)
    assert [(activity, count) for activity, count, _ in found.rows] == [("ride", 1), ("run", 2)]
    assert [one.on for one in found.rows[1][2]] == ["2026-03-08", "2026-03-01"]
    assert found.parts == 4
    assert found.finding == "Furthest off at ride, 4 March 2026: by 9.5 bpm"
    assert found.rows[1][2][1].path == "M0 0V-2H1V3H0ZM2 0V-4H3V-1H4V-1H3V0H2Z"


def test_an_outline_goes_through_every_value_of_its_parts(told):
    path = outlines("watch", *told).rows[1][2][1].path
    heights = {-int(height) for height in re.findall(r"V(-?\d+)", path)}
    assert heights == {-3, 2, 0, 4, 1}


def test_what_is_too_far_off_is_cut_off_and_marked(told):
    ride, (_, run) = (shown for _, _, shown in outlines("watch", *told).rows)
    assert (
        ride[0].path
        == f"M0 0{''.join(f'V0H{at}' for at in (1, 2, 3, 4))}"
        + "".join(f"V{REACH}H{at}" for at in (3, 2, 1, 0))
        + "Z"
    )
    assert ride[0].beyond == "".join(f"M{at} {MARKED}h1" for at in range(4))
    assert run.beyond == ""
    (_, _, (above,)) = outlines("watch", *archive_of(("run", "2026-03-01", 2.0, [[0, 90]]))).rows[0]
    assert above.beyond == f"M0 {-MARKED}h1"


def test_of_many_sessions_the_newest_are_shown():
    many = [("run", f"2026-03-{n + 1:02}", 2.0, [[0, 1]]) for n in range(MOST + 2)]
    ((_, count, shown),) = outlines("watch", *archive_of(*many)).rows
    assert (count, len(shown)) == (MOST + 2, MOST)
    assert shown[0].on == f"2026-03-{MOST + 2:02}"


def test_a_device_without_a_course_has_none(told):
    assert outlines("ring", *told) is None
    assert outlines("watch", told[0].assign(outline=None), told[1]) is None


def test_each_that_is_evidence_leads_to_its_session(archive, policy, look, shown, told):
    courses, _ = told
    known = replace(archive, courses=courses.assign(session=["s-1", "s-9", "s-1"]))
    text = rendered(
        DEVICE, look, DEVICE.context(DeviceTables("watch", known), policy, {"answer": []})
    )
    links = re.findall(r'<a href="\.\./sessions/(s-\d)\.html"><svg', text)
    assert sorted(links) == ["s-1", "s-1"]
    assert "from −20 to +20 bpm" in text
