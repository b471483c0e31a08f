import numpy as np
import pandas as pd
import pytest
from scipy.signal import lfilter

from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.settings import Effort, Intervals, Tolerance
from strapline.ground.tables.sessions import ALIGNED
from strapline.method.agreement.effort import session_maximum
from strapline.method.metrics.session_metrics import session_metrics
from unit.agreement.grids import grid, intake

INTERVALS, EFFORT = Intervals(shortest_s=240), Effort()
SLOPE = ("whole", "proportional_slope")


def measured(table, intervals=INTERVALS, **card):
    session = intake(**card)
    maximum = session_maximum(table, session.body, EFFORT)
    return session_metrics(table, session, maximum, Tolerance(), intervals, EFFORT)


def figures(table, *settings, **card):
    return measured(table, *settings, **card).set_index(["scope", "metric"])


def wandering(n, correlation=0.5, seed=1):
    """Differences that follow one another, as a first-order autoregression."""
    random = np.random.default_rng(seed)
    return lfilter([1.0], [1, -correlation], random.normal(size=n + 100))[100:]


def test_only_compared_seconds_count():
    status = ["compared"] * 6 + ["no_device"] * 2 + ["no_reference", "excluded: fell off"]
    found = figures(grid(status, [103.0] * 6 + [np.nan] * 2 + [200, 200]))
    assert found.loc[("whole", "bias"), "value"] == 3
    assert found.loc[("whole", "bias"), "n"] == 6
    assert found.loc[("whole", "coverage"), "value"] == pytest.approx(75)


def test_segments_are_measured_on_their_own():
    table = grid(["compared"] * 10, [101.0] * 5 + [109.0] * 5)
    found = figures(table, segments=[{"label": "second half", "from": 5, "to": 10}])
    assert found.loc[("whole", "bias"), "value"] == 5
    assert found.loc[("segment:second half", "bias"), "value"] == 9
    assert found.loc[("segment:second half", "bias"), "n"] == 5


def test_a_report_a_minute_stands_for_its_minute():
    status = ["compared"] * 180 + ["no_device"] * 60
    device = [*np.repeat([102.0, 104, 106], 60), *[np.nan] * 60]
    halves = [{"label": "a", "from": 0, "to": 90}, {"label": "b", "from": 90, "to": 240}]
    found = figures(grid(status, device, stands_for=60), segments=halves)
    assert found.loc[("whole", "bias"), "n"] == 180
    assert found.loc[("whole", "coverage"), "value"] == pytest.approx(75)
    # As textbooks have it of three differences: 4 − 1.96 × 2.
    assert found.loc[("whole", "limit_lower"), "value"] == pytest.approx(0.08, abs=0.001)
    # Split at the border: a minute of 2 and half a minute of 4; half a minute of 4, one of 6.
    assert found.loc[("segment:a", "bias"), "value"] == pytest.approx(8 / 3)
    assert found.loc[("segment:b", "bias"), "value"] == pytest.approx(16 / 3)


def test_no_more_independent_values_than_reports():
    random = np.random.default_rng(4)
    reports = 100 + random.normal(size=200)
    line = np.interp(np.arange(1990), np.arange(200) * 10, reports)
    found = figures(grid(["compared"] * 1990, line, stands_for=10))
    assert found.loc[("whole", "effective_n"), "value"] <= 199


def test_nothing_aligned_nothing_measured():
    assert measured(ALIGNED.empty()).empty


def test_figures_carry_intervals_and_maxima_none():
    table = grid(["compared"] * 600, 100 + wandering(600))
    found = figures(table)
    for metric in ("bias", "mae", "limit_lower", "within_beats"):
        row = found.loc[("whole", metric)]
        assert row["ci_low"] <= row["value"] <= row["ci_high"]
    assert found.loc[("whole", "maximum_difference"), ["ci_low", "ci_high"]].isna().all()


def test_no_interval_from_fewer_independent_seconds_than_set():
    table = grid(["compared"] * 600, 100 + wandering(600))
    effective = figures(table).loc[("whole", "effective_n"), "value"]
    # 600 (1 - 0.5) / (1 + 0.5) in the limit, for this autoregression.
    assert effective == pytest.approx(200, rel=0.35)
    below, above = (
        # The slope goes by the number of its own residuals.
        figures(table, Intervals(shortest_s=10, fewest_independent=effective + d)).drop(index=SLOPE)
        for d in (-1, 1)
    )
    assert below["ci_low"].notna().any() and above["ci_low"].isna().all()


def test_seconds_missed_stay_in_the_series_of_the_interval():
    status = (["compared"] * 9 + ["no_device"]) * 60
    device = np.where(np.array(status) == "compared", 100 + wandering(600), np.nan)
    row = figures(grid(status, device)).loc[("whole", "coverage")]
    assert row["value"] == pytest.approx(90)
    assert row["ci_low"] < 90 < row["ci_high"]


def test_the_same_session_has_the_same_intervals_and_another_others():
    table = grid(["compared"] * 300, 100 + wandering(300))
    other = table.assign(recording=pd.Categorical(["band"] * 300))
    pd.testing.assert_frame_equal(measured(table), measured(table))
    assert not measured(table)["ci_low"].equals(measured(other)["ci_low"])


def test_bands_of_effort_go_by_the_reference():
    reference = np.repeat([110.0, 150.0, 190.0], [100, 70, 59])
    device = reference + np.repeat([1.0, 5.0, 9.0], [100, 70, 59])
    table = grid(["compared"] * 229, device, reference=reference)
    found = figures(table, body={"maximum_bpm": 190})
    scopes = {scope for scope, _ in found.index}
    # 110, 150 and 190 of 190 bpm are 58, 79 and 100 %; the last has under a minute.
    assert scopes == {"whole", "intensity:light", "intensity:vigorous"}
    assert found.loc[("intensity:vigorous", "bias"), "value"] == 5
    assert found.loc[("intensity:vigorous", "bias"), "n"] == 70


def test_maximum_is_stated_or_by_age_or_observed():
    table = grid(["compared", "no_device", "no_reference"], [1.0] * 3, reference=[150, 160, 210])
    body = {
        "stated": {"maximum_bpm": 188, "age_years": 40},
        "tanaka_2001": {"age_years": 40},
        "observed": {},
    }
    found = {s: session_maximum(table, intake(body=b).body, EFFORT) for s, b in body.items()}
    # Tanaka 2001, J Am Coll Cardiol 37:153-156: 208 - 0.7 age.
    bpm = {"stated": 188, "tanaka_2001": 180, "observed": 160}
    assert found == {source: MaximumHeartRate(bpm[source], source) for source in body}
    assert session_maximum(ALIGNED.empty(), intake().body, EFFORT) is None


def test_a_difference_that_grows_with_heart_rate_has_its_slope():
    # Device 0.9 times reference: difference over mean is -0.1 / 0.95 (Bland & Altman 1999).
    reference = np.linspace(90, 180, 900)
    device = 0.9 * reference + wandering(900)
    row = figures(grid(["compared"] * 900, device, reference=reference)).loc[SLOPE]
    assert row["ci_low"] < -0.1 / 0.95 < row["ci_high"] < 0
    assert row["value"] == pytest.approx(-0.1 / 0.95, abs=0.02)


def test_a_slope_is_only_for_the_whole_session():
    table = grid(["compared"] * 300, 100 + wandering(300))
    found = measured(table, segments=[{"label": "half", "from": 0, "to": 150}])
    assert set(found.loc[found["metric"] == "proportional_slope", "scope"]) == {"whole"}


def test_the_same_seconds_have_the_same_intervals_in_both_views():
    table = grid(["compared"] * 600, 100 + wandering(600))
    found = measured(ALIGNED.joined([table, table.assign(alignment="delay_out")]))
    assert found["ci_low"].notna().any()
    settled, delay_out = (
        found[found["alignment"] == view].drop(columns="alignment").reset_index(drop=True)
        for view in ("settled", "delay_out")
    )
    pd.testing.assert_frame_equal(settled, delay_out)
