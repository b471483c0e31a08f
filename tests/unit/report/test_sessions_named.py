"""Who wore what the first page counts."""

import pandas as pd

from strapline.ground.tables.archive import SESSIONS
from strapline.ground.vocabulary import UNSTATED
from strapline.telling.report.archive import wearers


def sessions(*worn, set_aside=None):
    rows = [
        {
            "session": f"s-{place}",
            "title": "t",
            "wearer": wearer,
            "activity": "run",
            "started_at": pd.Timestamp("2026-03-04T10:00:00Z"),
            "devices": 1,
            "clocks_aligned": 0,
            "clocks_left": 0,
            "set_aside": set_aside,
        }
        for place, wearer in enumerate(worn)
    ]
    return SESSIONS.from_rows(rows)


def test_sessions_that_name_no_wearer_are_counted_apart():
    assert wearers(sessions("ada", UNSTATED, "ada", "bo", UNSTATED)) == (2, 2)
    assert wearers(sessions(UNSTATED)) == (0, 1)
    assert wearers(sessions("ada", UNSTATED, set_aside="no strap")) == (0, 0)
