"""Sentences and rows on how closely devices follow the strap over sessions."""

import math

from strapline.ground.tables.archive import FAULTS, STANDINGS
from strapline.ground.vocabulary import ALL_ACTIVITIES, ANY_KIND
from strapline.telling.report.standings import lead, leads, standing_rows

LABELS = {"watch": "Watch one", "band": "Band two"}


def row(device, activity, mean, sessions=3, metric="mae"):
    return {
        "device": device,
        "activity": activity,
        "alignment": "settled",
        "sessions": sessions,
        "as_stated": 0,
        "wearers": 1,
        "minutes": 60.0,
        "metric": metric,
        "unit": "bpm",
        "mean": mean,
    }


def standings(*rows, faults=()):
    return standing_rows(STANDINGS.from_rows(rows), FAULTS.from_rows(faults), LABELS)


def test_a_device_is_told_by_its_best_and_its_worst_activity():
    found = standings(
        row("watch", "ride", 4.4), row("watch", "desk", 1.04, 1), row("watch", "strength", 11.9)
    )
    assert lead(found) == (
        "Watch one was off by 1.0 bpm in one desk session and by 11.9 in 3 strength sessions."
    )


def test_one_activity_is_told_as_itself():
    assert lead(standings(row("watch", "run", 5.6))) == (
        "Watch one was off by 5.6 bpm on average in 3 run sessions."
    )


def test_of_several_firmwares_each_is_named():
    found = standings(row("watch", "run", 5.6), row("band", "run", 2.0))
    assert leads(found, {"watch": ["1.9", "2.0"]}) == [
        "Band two was off by 2.0 bpm on average in 3 run sessions.",
        "Watch one was off by 5.6 bpm on average in 3 run sessions, with firmware 1.9 and 2.0.",
    ]


def test_a_device_without_an_error_is_not_told():
    assert lead(standings(row("watch", "run", math.nan))) == ""
    assert leads(standings(), {}) == []


def test_devices_come_in_order_of_their_mean_over_all_activities():
    found = standings(
        row("watch", "run", 1.0),
        row("band", "run", 2.0),
        row("watch", ALL_ACTIVITIES, 9.0),
        row("band", ALL_ACTIVITIES, 3.0),
    )
    assert [sentence.split(" was")[0] for sentence in leads(found, {})] == ["Band two", "Watch one"]
    assert [(one.activity, one.device) for one in found] == [
        (ALL_ACTIVITIES, "band"),
        (ALL_ACTIVITIES, "watch"),
        ("run", "watch"),
        ("run", "band"),
    ]


def test_faults_are_counted_by_session():
    fault = {"device": "watch", "activity": "run", "kind": ANY_KIND, "sessions": 4, "episodes": 10}
    fault |= dict.fromkeys(("sessions_looked_for", "sessions_with", "wearers", "came_back"), 1)
    (found,) = standings(row("watch", "run", 5.6), faults=[fault | {"minutes": 80.0}])
    assert found.faults == 2.5
