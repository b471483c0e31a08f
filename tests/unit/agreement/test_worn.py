"""Where a device sat and what ran on it, as comparisons and firmware are told."""

import pandas as pd

from strapline.ground.tables.archive import PLACEMENTS, SESSIONS
from strapline.method.agreement.session_table import worn

STARTED = pd.Timestamp("2026-03-02T10:00:00Z")


def placed(session, recording, placement, firmware):
    names = {"session": session, "recording": recording, "device": "watch"}
    return names | {"placement": placement, "firmware": firmware}


def test_a_device_worn_twice_at_once_sat_on_no_wrist_and_ran_no_firmware():
    known = {"title": "", "wearer": "ada", "activity": "run", "started_at": STARTED, "devices": 1}
    known |= {"clocks_aligned": 1, "clocks_left": 0}
    sessions = SESSIONS.from_rows([known | {"session": "s-1"}, known | {"session": "s-2"}])
    rows = [
        placed("s-1", "one", "left_wrist", "1.0"),
        placed("s-2", "one", "left_wrist", "1.0"),
        placed("s-2", "two", "right_wrist", "1.1"),
    ]
    once, twice = worn(PLACEMENTS.from_rows(rows), sessions).to_dict("records")
    assert (once["placement"], once["firmware"]) == ("left_wrist", "1.0")
    assert twice["placement"] == "other" and pd.isna(twice["firmware"])
    assert once["started_at"] == twice["started_at"] == STARTED
