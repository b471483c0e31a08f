"""What standings rest on: sessions, wearers, and activities."""

import pandas as pd
import pytest

from strapline.ground.settings import Criteria, Equivalence, OverAll
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import ALL_ACTIVITIES, UNSTATED
from strapline.method.agreement.findings import findings
from strapline.method.agreement.standings import standings
from unit.agreement.archives import archive


def test_sessions_without_a_compared_second_count_only_towards_coverage():
    same = {"activity": "run", "device": "watch", "recording": "watch", "scope": "whole"}
    same |= {"alignment": "settled", "metric": "coverage", "unit": "%"}
    rows = [
        same | {"session": "a", "wearer": "ada", "value": 90.0, "n": 600},
        same | {"session": "b", "wearer": "ben", "value": 0.0, "n": 0},
        same | {"session": "c", "wearer": UNSTATED, "value": 60.0, "n": 60},
    ]
    for row in standings(METRICS.from_rows(rows), OverAll()).to_dict("records"):
        assert (row["sessions"], row["wearers"], row["minutes"]) == (2, 1, 11)
        assert (row["mean"], row["lowest"], row["highest"]) == (50, 0, 90)


def figures(*rows, metric="mae"):
    """From session, activity, device and value."""
    same = {"wearer": "ada", "scope": "whole", "alignment": "settled", "metric": metric}
    same |= {"unit": "bpm", "n": 600}
    named = ("session", "activity", "device", "value")
    found = [same | dict(zip(named, row, strict=True)) | {"recording": row[2]} for row in rows]
    votes = [row | {"metric": "effective_n", "value": 9.0} for row in found]
    return METRICS.from_rows([*found, *votes])


DONE = {"run": 1.0, "ride": 9.0, "row": 3.0}


def over_all(table):
    rows = table[table["activity"] == ALL_ACTIVITIES].astype({"device": str})
    return {row["device"]: row for row in rows.to_dict("records")}


def test_over_all_activities_each_counts_alike():
    """Nine runs at 1 bpm and one ride at 9 are 5 over both, and not 1.8."""
    runs = [(f"run-{n}", "run", "watch", 1.0) for n in range(9)]
    (watch,) = over_all(
        standings(figures(*runs, ("ride", "ride", "watch", 9.0)), OverAll())
    ).values()
    assert (watch["mean"], watch["lowest"], watch["highest"]) == (5, 1, 9)
    assert (watch["sessions"], watch["minutes"]) == (10, 100)


def test_over_all_activities_those_count_that_were_stated():
    rows = [(f"{activity}-1", activity, "watch", error) for activity, error in DONE.items()]
    (watch,) = over_all(standings(figures(*rows), OverAll(activities=("run", "row")))).values()
    assert (watch["mean"], watch["sessions"]) == (2, 2)


@pytest.mark.parametrize("stated", [(), ("run", "row")])
def test_every_statistic_over_all_activities_is_of_those(stated):
    chosen = OverAll(activities=stated)
    rows = [
        {"session": f"{activity}-{n}", "activity": activity, "bias": error, "mape": error}
        for activity, error in DONE.items()
        for n in range(2)
    ]
    table = findings(archive(*rows), Criteria(), Equivalence(), chosen)
    of_all = table[table["activity"] == ALL_ACTIVITIES].set_index("statistic")
    counted = [error for activity, error in DONE.items() if not stated or activity in stated]
    assert of_all.loc["bias", "value"] == pytest.approx(sum(counted) / len(counted))
    assert of_all.loc["mape_highest", "value"] == max(counted)
    assert of_all.loc["bias", "sessions"] == 2 * len(counted)
    apart = table[table["activity"] == "ride"].set_index("statistic")
    assert apart.loc["bias", "value"] == 9


def test_no_device_is_the_closer_for_what_it_was_spared():
    """Both have 2 bpm on runs and desk; only one was worn at strength, where it was off by 20."""
    both = [
        (f"{activity}-{device}", activity, device, 2.0)
        for activity in ("desk", "run")
        for device in ("watch", "band")
    ]
    found = over_all(standings(figures(*both, ("lift", "strength", "watch", 20.0)), OverAll()))
    assert found["watch"]["mean"] == found["band"]["mean"] == 2
    assert found["watch"]["sessions"] == 2


def test_devices_that_share_no_two_activities_have_no_figure_over_all():
    apart = standings(figures(("a", "run", "watch", 1.0), ("b", "ride", "watch", 2.0)), OverAll())
    assert over_all(apart)
    shared = figures(
        ("a", "run", "watch", 1.0), ("b", "ride", "watch", 2.0), ("b", "ride", "band", 3.0)
    )
    # One that was at a single activity stands apart, and is no reason to say nothing of others.
    assert over_all(standings(shared, OverAll())).keys() == {"watch"}
    crossed = [("a", "run", "watch", 1.0), ("b", "ride", "watch", 2.0)]
    crossed += [("b", "ride", "band", 3.0), ("c", "desk", "band", 1.0)]
    assert not over_all(standings(figures(*crossed), OverAll()))


def test_a_recording_that_does_not_count_is_in_no_mean_and_in_no_activity():
    """It was compared, which coverage alone tells."""
    sessions = [("a", "run", "watch", 9.0), ("b", "run", "watch", 1.0), ("c", "ride", "watch", 1.0)]
    table = pd.concat([figures(*sessions, metric=name) for name in ("mae", "bias", "coverage")])
    counts = (table["session"] == "a").to_numpy()
    told = standings(table.reset_index(drop=True), OverAll(), counts)
    rows = {(row["activity"], row["metric"]): row for row in told.to_dict("records")}
    assert [rows["run", name]["mean"] for name in ("mae", "bias", "coverage")] == [9, 9, 5]
    assert [rows["run", name]["sessions"] for name in ("mae", "coverage")] == [1, 2]
    assert ("ride", "mae") not in rows and not over_all(told)


def test_a_bias_over_all_activities_is_the_same_wherever_it_is_told():
    """Of those that all devices share, each once, be it a single session; the walk stands apart."""
    shared = [("desk", 1.0), ("desk", 2.0), ("ride", -27.0)]
    rows = [
        {"session": f"{at}-{bias:g}", "activity": at, "bias": bias, "mae": 5.0, "device": device}
        for device in ("watch", "band")
        for at, bias in (*shared, *([("walk", 9.0)] if device == "watch" else []))
    ]
    told = over_all(standings(archive(*rows), OverAll()).query("metric == 'bias'"))
    found = findings(archive(*rows), Criteria(), Equivalence(), OverAll())
    found = over_all(found[found["statistic"] == "bias"])
    for device in ("watch", "band"):
        assert told[device]["mean"] == found[device]["value"] == pytest.approx((1.5 - 27) / 2)
        assert told[device]["sessions"] == found[device]["sessions"] == 3


def test_an_activity_that_a_device_did_once_stands_apart_where_two_were_repeated():
    """A first ride takes nothing away that could be said before it."""
    done = [("desk", 1.0), ("desk", 2.0), ("run", 3.0), ("run", 5.0), ("ride", -27.0)]
    rows = [
        {"session": f"{at}-{bias:g}", "activity": at, "bias": bias, "mae": 5.0, "device": device}
        for device in ("watch", "band")
        for at, bias in done
    ]
    told = standings(archive(*rows), OverAll())
    found = findings(archive(*rows), Criteria(), Equivalence(), OverAll())
    bias = over_all(found[found["statistic"] == "bias"])["watch"]
    assert over_all(told.query("metric == 'bias'"))["watch"]["mean"] == bias["value"] == 2.75
    assert bias["low"] < 2.75 < bias["high"]
    named = OverAll(activities=("desk", "ride"))
    found = findings(archive(*rows), Criteria(), Equivalence(), named)
    assert over_all(found[found["statistic"] == "bias"])["watch"]["value"] == (1.5 - 27) / 2


def test_what_counts_over_all_activities_is_marked():
    rows = [(f"{at}-{device}", at, device, 1.0) for at in DONE for device in ("watch", "band")]
    told = standings(figures(*rows, ("walk", "walk", "watch", 1.0)), OverAll())
    marked = dict(zip(told["activity"].astype(str), told["over_all"], strict=True))
    assert marked == {**dict.fromkeys(DONE, True), "walk": False, ALL_ACTIVITIES: False}
