"""Devices worn together, compared as pairs."""

from itertools import combinations

import numpy as np
import pandas as pd
import pytest
from scipy import stats
from statsmodels.stats.multitest import multipletests

from strapline.ground.settings import Criteria, OverAll
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.method.metrics.comparisons import comparisons, paired
from unit.agreement.archives import archive, looked_up

LEFT, RIGHT = "left_wrist", "right_wrist"


def together(*sessions, a="band", b="watch"):
    """Metrics and placements of sessions: error of A, error of B, side of A, more of METRICS."""
    rows, worn = [], []
    for place, (of_a, of_b, side, *more) in enumerate(sessions):
        other = {LEFT: RIGHT, RIGHT: LEFT}.get(side, "other")
        name = f"{a}-{b}-{place}"
        for device, error, placement, beside in ((a, of_a, side, b), (b, of_b, other, a)):
            figures = {"mae": error, "mape": error / 2, "scope": f"beside:{beside}"}
            rows.append({"session": name, "device": device} | figures | dict(*more))
            worn.append({"session": name, "device": device, "placement": placement})
    return rows, worn


def compared(*groups):
    rows = [row for group in groups for row in group[0]]
    worn = [row for group in groups for row in group[1]]
    return comparisons(archive(*rows), pd.DataFrame(worn), Criteria(), OverAll())


def only(frame, **where):
    where = {"activity": ALL_ACTIVITIES, "alignment": "settled", "metric": "mae"} | where
    rows = looked_up(frame, "device_a", **where)
    assert len(rows) == 1
    return rows.iloc[0]


def test_differences_are_paired_by_session():
    a, b = [4.0, 6.0, 5.0, 9.0, 3.5, 6.0], [2.0, 5.5, 1.0, 4.0, 3.0, 3.0]
    row = only(compared(together(*((x, y, LEFT) for x, y in zip(a, b, strict=True)))))
    assert row["difference"] == np.median(np.subtract(a, b)) == 2.5
    # Of six values the smallest and the largest hold the median with 1 - 2 / 2^6.
    assert (row["low"], row["high"]) == (0.5, 5)
    assert row["p"] == stats.binomtest(0, 6).pvalue == 2 / 64
    assert row["closer"] == 0
    assert row["closer_high"] == pytest.approx(
        stats.binomtest(0, 6).proportion_ci(method="wilson").high
    )
    half = only(compared(together((4, 2, LEFT), (6, 5, LEFT))), metric="mape")
    assert half["difference"] == pytest.approx(0.75)


def test_a_device_on_one_side_only_is_confounded():
    row = only(compared(together((4, 2, LEFT), (5, 2, LEFT))))
    assert row["confounded"] and (row["a_left"], row["a_right"]) == (2, 0)
    assert np.isnan(row["balanced"])
    unknown = only(compared(together((4, 2, "other"), (5, 2, "other"))))
    assert unknown["confounded"] and unknown["a_left"] == unknown["a_right"] == 0


def test_the_wrist_is_taken_off_where_both_changed_sides():
    # A is worse by 2, the left wrist by 3, and A sat on the left three times of four.
    row = only(compared(together((9, 4, LEFT), (9, 4, LEFT), (9, 4, LEFT), (6, 7, RIGHT))))
    assert row["difference"] == 5
    assert not row["confounded"]
    assert row["balanced"] == pytest.approx(2)


def test_p_values_are_adjusted_over_their_family():
    groups = [
        together(*((x, 1.0, LEFT, {"activity": at}) for x in errors), a=a, b="watch")
        for a, at, errors in (
            ("band", "run", [2, 3, 4, 5, 6, 7]),
            ("clip", "run", [2, 3, 4, 5, 0.5]),
            ("dial", "ride", [2, 0.9, 3]),
        )
    ]
    found = compared(*groups)
    for over_all in (True, False):
        own = found[
            (found["metric"] == "mae") & ((found["activity"] == ALL_ACTIVITIES) == over_all)
        ]
        assert len(own) == 3
        assert own["p_family"].to_numpy() == pytest.approx(
            multipletests(own["p"], method="bonferroni")[1]
        )
        assert (own["p_family"] > own["p"]).any()


def test_who_failed_is_told_of_sessions_with_both():
    rows, worn = together((4, 2, LEFT), (30, 5, LEFT), (6, 1, RIGHT))
    whole = [
        {"session": f"band-watch-{place}", "device": device, "within_either": within}
        for place, of_each in enumerate([(95.0, 99.0), (40.0, 99.0), (89.0, 50.0)])
        for device, within in zip(("band", "watch"), of_each, strict=True)
    ]
    row = only(compared((rows + whole, worn)))
    assert (row["failed_a"], row["failed_b"]) == (2, 1)


def test_only_sessions_with_both_count():
    alone = ([{"session": "x", "device": "band", "mae": 90.0, "mape": 1.0}], [])
    undefined = together((5, 2, LEFT, {"n": 0}))
    row = only(compared(together((4, 2, LEFT)), alone))
    assert row["sessions"] == 1 and np.isnan(row["low"])
    assert compared(alone, undefined).empty


def test_a_device_worn_twice_in_a_session_counts_once():
    rows, worn = together((4, 2, LEFT))
    spare = [row | {"recording": "spare", "mae": 8.0} for row in rows[:1]]
    beside_spare = [row | {"scope": "beside:spare", "mae": 3.0} for row in rows[1:]]
    row = only(compared((rows + spare + beside_spare, worn)))
    assert row["sessions"] == 1
    assert row["difference"] == pytest.approx((4 + 8) / 2 - (2 + 3) / 2)


def test_each_session_that_a_comparison_counts_is_kept():
    groups = [
        together((4, 2, LEFT), (6, 5, LEFT), (1, 9, RIGHT)),
        together((5, 2, LEFT, {"activity": "ride"}), (3, 3, LEFT, {"activity": "desk"}), b="ring"),
    ]
    metrics = archive(*(row for rows, _ in groups for row in rows))
    worn = pd.DataFrame([row for _, rows in groups for row in rows])
    over_all = OverAll(activities=("run", "ride"))
    held = paired(metrics, worn, over_all)
    for row in comparisons(metrics, worn, Criteria(), over_all).to_dict("records"):
        keys = ["device_a", "device_b", "activity", "alignment", "metric"]
        own = held[(held[keys] == [row[key] for key in keys]).all(axis=1)]
        assert len(own) == row["sessions"] > 0
        assert own["difference"].median() == pytest.approx(row["difference"])
    run = only(held[held["session"] == "band-watch-2"])
    assert run["difference"] == 1 - 9


def test_devices_that_never_met_are_not_compared():
    assert compared(together((4, 2, LEFT), a="a", b="b"), together((1, 2, LEFT), a="c", b="d"))[
        ["device_a", "device_b"]
    ].drop_duplicates().to_numpy().tolist() == [["a", "b"], ["c", "d"]]


def test_sessions_needed_are_those_from_which_a_difference_can_be_shown():
    # Six pairs: 6 * 2 / 2^7 is above 0.05, 6 * 2 / 2^8 is below; one pair alone needs six.
    pairs = [together((4, 2, LEFT), (6, 5, LEFT), a=a, b=b) for a, b in combinations("abcd", 2)]
    assert compared(*pairs)["sessions_needed"].unique().tolist() == [8]
    assert compared(pairs[0])["sessions_needed"].unique().tolist() == [6]
