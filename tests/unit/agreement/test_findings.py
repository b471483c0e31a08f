"""What many sessions say together, against published tables and at the edges."""

import numpy as np
import pandas as pd
import pytest
from archives import archive, looked_up
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.weightstats import DescrStatsW

from strapline.ground.settings import Criteria, Equivalence, OverAll, Tolerance
from strapline.ground.vocabulary import ALL_ACTIVITIES, UNSTATED
from strapline.method.agreement.findings import findings
from strapline.method.agreement.medians import median_interval
from strapline.method.metrics import registry
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.metric_rows import value_of

CRITERIA, MARGINS = Criteria(), Equivalence()


def found(metrics, activity=ALL_ACTIVITIES, device="watch", alignment="settled"):
    table = findings(metrics, CRITERIA, MARGINS, OverAll())
    return looked_up(table, "statistic", activity=activity, device=device, alignment=alignment)


def session(bias=0.0, sd_of_differences=5.0, effective_n=50.0, **more):
    return {
        "bias": bias,
        "sd_of_differences": sd_of_differences,
        "effective_n": effective_n,
        "mape": 5.0,
        "within_either": 95.0,
        "concordance": 0.95,
    } | more


@pytest.fixture
def published(repository):
    return lambda name: pd.read_csv(repository / "tests" / "published" / "data" / f"{name}.csv")


def test_biases_differ_as_trials_do(published):
    # Source in tests/published/data/SOURCES.md: tau² 0.3087603, Q 152.2330 of 13 trials.
    trials, scale = published("bcg"), 100
    metrics = archive(
        *(
            session(scale * bias, scale * (variance * 40) ** 0.5, 40.0)
            for bias, variance in zip(trials["yi"], trials["vi"], strict=True)
        )
    )
    rows = found(metrics)
    tau = rows.loc["bias_between_sessions", "value"] / scale
    assert tau**2 == pytest.approx(0.3087603, abs=1e-6)
    assert rows.loc["bias_heterogeneity", "value"] == pytest.approx(100 * (1 - 12 / 152.2330))
    assert rows.loc["bias", "sessions"] == len(trials) == 13
    # Each counts alike, however well it knows its own.
    assert rows.loc["bias", "value"] == pytest.approx(scale * trials["yi"].mean())
    wider = rows.loc["bias_next_session"]
    assert wider["low"] < rows.loc["bias", "low"] and wider["high"] > rows.loc["bias", "high"]


def test_a_session_that_fails_counts_like_any_other():
    good = [session(0.0, 2.0, 300.0)] * 4
    rows = found(archive(*good, session(-12.5, 12.5, 8.0, within_either=50)))
    assert rows.loc["bias", "value"] == -2.5
    assert rows.loc["failing", ["value", "low"]].tolist() == [20, 0]
    bound = stats.binomtest(1, 5, alternative="less").proportion_ci(0.95).high
    assert rows.loc["failing", "high"] == pytest.approx(100 * bound)


def test_of_people_each_wearer_is_one_case():
    own = [
        session(mape=mape, wearer=wearer)
        for wearer, values in (("ada", (5, 5, 20, 20)), ("ben", (5,)), ("cy", (5, 5)))
        for mape in map(float, values)
    ]
    rows = found(archive(*own))
    row = rows.loc["met_mape_over_wearers"]
    assert row["value"] == pytest.approx(100 * 2.5 / 3)
    # An exact binomial interval by the beta distribution, 2.5 of 3 cases.
    ends = stats.beta.ppf([0.025, 0.975], [2.5, 3.5], [1.5, 0.5])
    assert [row["low"], row["high"]] == pytest.approx(list(100 * ends))
    assert "met_mape_over_wearers" not in found(archive(*own[:5])).index


def test_limits_are_of_a_further_second_of_a_further_session(published):
    # On the table of Bland & Altman 1999, each value a minute or more, by hand: variance of
    # subjects' means over 11, plus the mean of their variances over n.
    table = published("cardiac_output_ba1999_table4")
    difference = (table["RV"] - table["IC"]).groupby(table["item"])
    summary = difference.agg(["mean", "std", "count"]).astype(float)
    rows = found(
        archive(
            *(
                session(mean, sd, n=100 * int(count))
                for mean, sd, count in summary.to_numpy().tolist()
            )
        )
    )
    over_n = summary["std"] ** 2 * (1 - 1 / (100 * summary["count"]))
    sd = (summary["mean"].var() + over_n.mean()) ** 0.5
    for name, side in (("limit_lower", -1), ("limit_upper", 1)):
        limit = summary["mean"].mean() + side * 1.96 * sd
        assert rows.loc[name, "value"] == pytest.approx(limit)
        assert rows.loc[name, "low"] < limit < rows.loc[name, "high"]


def test_limits_at_a_heart_rate_are_those_of_what_was_made():
    """Differences with mean 0.05 of the heart rate less 6, and an SD of a thirtieth of it; sessions
    differ by an SD of 1."""
    random, sessions = np.random.default_rng(5), []
    for _ in range(40):
        mean = random.uniform(60, 150, 4000)
        own = random.normal(0, 1)
        difference = random.normal(0.05 * mean - 6 + own, mean / 30)
        compared = Compared(mean - difference / 2, mean + difference / 2, Tolerance())
        sessions.append({m.key: value_of(m, compared) for m in registry.given("whole session")})
    rows = found(archive(*(session() | own for own in sessions)))
    for rate in (80, 120):
        sd = np.hypot(1, rate / 30)
        for side, sign in (("lower", -1), ("upper", 1)):
            row = rows.loc[f"limit_{side}_at_{rate}"]
            true = 0.05 * rate - 6 + sign * 1.96 * sd
            assert row["value"] == pytest.approx(true, abs=0.8)
            assert row["low"] < true < row["high"]
    # No session's heart rates reach it.
    assert "limit_lower_at_160" not in rows.index
    assert rows.loc["slope", "value"] == pytest.approx(0.05, abs=0.005)


def test_limits_at_a_heart_rate_ask_for_five_sessions_that_reach_it():
    reaching = [session(b, bias_at_120=b, sd_at_120=3.0) for b in (1.0, 2.0, 3.0, 4.0, 5.0)]
    beyond = session(9.0, bias_at_120=np.nan, sd_at_120=np.nan)
    rows = found(archive(*reaching, beyond))
    assert rows.loc["limit_lower", "sessions"] == 6
    assert rows.loc["limit_lower_at_120", "sessions"] == 5
    assert "limit_lower_at_120" not in found(archive(*reaching[1:], beyond)).index


def test_slopes_are_pooled_as_biases_are():
    values = np.array([0.1, 0.02, 0.05, -0.01])
    rows = found(archive(*(session(proportional_slope=value) for value in values)))
    theirs = DescrStatsW(values)
    row = rows.loc["slope"]
    assert [row["value"], row["low"], row["high"]] == pytest.approx(
        [theirs.mean, *theirs.tconfint_mean()]
    )
    # A single activity counts for itself and for all, and both are judged.
    assert rows.loc["slope_p", "value"] == pytest.approx(min(2 * theirs.ttest_mean()[1], 1))


def test_errors_are_pooled_as_biases_are_and_never_below_0():
    for values, least in (([4.0, 5.5, 6.0, 4.5], None), ([1.0, 9.0, 2.0, 2.0], 0.0)):
        row = found(archive(*(session(mae=value) for value in values))).loc["mae_mean"]
        theirs = DescrStatsW(np.array(values))
        low, high = theirs.tconfint_mean()
        assert (low < 0) == (least is not None)
        expected = [theirs.mean, low if least is None else least, high]
        assert [row["value"], row["low"], row["high"]] == pytest.approx(expected)


def test_limits_ask_for_five_sessions():
    assert "limit_lower" not in found(archive(*(session(b) for b in (1.0, 2.0, 3.0, 4.0)))).index
    assert "limit_lower" in found(archive(*(session(b) for b in (1.0, 2, 3, 4, 5)))).index


def test_shares_of_sessions_that_meet_criteria():
    metrics = archive(
        session(mape=9.9, within_either=90, concordance=0.89),
        session(mape=10.0, within_either=89.9, concordance=0.91),
        session(mape=3.0, within_either=100, concordance=0.99),
        session(mape=30.0, within_either=20, concordance=0.2),
    )
    rows = found(metrics)
    assert rows.loc[["met_mape", "met_within", "met_concordance"], "value"].tolist() == [50] * 3
    interval = stats.binomtest(2, 4).proportion_ci(method="wilson")
    ends = rows.loc["met_mape", ["low", "high"]].tolist()
    assert ends == pytest.approx([100 * interval.low, 100 * interval.high])


def test_median_and_range_of_relative_errors():
    rows = found(archive(*(session(mape=float(m)) for m in (9, 2, 4, 3, 20, 6, 5))))
    assert rows.loc["mape_median", ["value", "low", "high"]].tolist() == [5, 2, 20]
    assert rows.loc[["mape_lowest", "mape_highest"], "value"].tolist() == [2, 20]


@given(st.integers(1, 60))
def test_interval_of_a_median_covers_by_the_binomial(n):
    interval = median_interval(np.arange(1.0, n + 1))
    if n < 6:
        assert np.isnan(interval.low)
    else:
        place = int(interval.low)
        assert interval.high == n + 1 - place
        # The median is left out if fewer than `place` of n fair coins fall on one side.
        assert 2 * stats.binom.cdf(place - 1, n, 0.5) <= 0.05 < 2 * stats.binom.cdf(place, n, 0.5)


def test_wearers_are_a_level_of_their_own_where_there_are_three():
    one = archive(*(session(b) for b in (1.0, 2.0, 3.0)))
    assert "bias_over_wearers" not in found(one).index
    whom = {"ada": (4.0, 5.0), "bo": (-4.0, -5.0), UNSTATED: (0.0,)}
    two = [session(b, wearer=w) for w, biases in whom.items() for b in biases]
    assert "bias_over_wearers" not in found(archive(*two)).index
    # Wearers who differ more than their sessions do.
    three = [*two, session(0.5, wearer="cy"), session(-0.5, wearer="cy")]
    rows = found(archive(*three))
    width = rows["high"] - rows["low"]
    assert width["bias_over_wearers"] > 3 * width["bias"]
    assert width["bias_next_wearer"] > width["bias_next_session"]
    assert width["equivalence_over_wearers"] > 3 * width["equivalence"]
    assert rows.loc["bias_over_wearers", "sessions"] == 6
    assert rows.loc["bias", "sessions"] == 7 and rows.loc["bias", "wearers"] == 3


def test_equivalence_is_tested_over_sessions():
    biases = [1.0, -2.0, 0.5, 3.0, -1.0]
    rows = found(archive(*map(session, biases)))
    p = max(
        stats.ttest_1samp(biases, -5, alternative="greater").pvalue,
        stats.ttest_1samp(biases, 5, alternative="less").pvalue,
    )
    assert rows.loc["equivalence_p", "value"] == pytest.approx(p)
    interval = stats.ttest_1samp(biases, 0).confidence_interval(0.9)
    assert rows.loc["equivalence", ["low", "high"]].tolist() == pytest.approx(list(interval))


def test_activities_views_and_devices_are_kept_apart():
    metrics = archive(
        session(1.0),
        session(5.0, activity="ride"),
        session(9.0, alignment="delay_out"),
        session(40.0, device="band"),
        session(80.0, scope="segment:a"),
        session(90.0, n=0),
    )
    assert found(metrics, "run").loc["bias", "value"] == 1
    assert found(metrics, "ride").loc["bias", ["value", "sessions"]].tolist() == [5, 1]
    assert found(metrics, alignment="delay_out").loc["bias", "value"] == 9
    assert found(metrics, device="band").loc["bias", "value"] == 40
    assert found(metrics).loc["equivalence", "value"] == 3
    assert found(metrics).loc["bias", "minutes"] == 60


def mixed(*sizes):
    """Easy days at the desk, with a bias of 0, and hard ones of strength, with one of -6."""
    easy, hard = sizes
    random = np.random.default_rng(5)
    return archive(
        *(session(b, 0.5, 300.0, activity="desk") for b in random.normal(0, 0.1, easy)),
        *(session(b, 9.0, 40.0, activity="strength") for b in random.normal(-6, 1, hard)),
    )


def test_over_activities_each_counts_alike():
    metrics = mixed(2, 6)
    rows = found(metrics)
    of_each = [found(metrics, at).loc["bias", "value"] for at in ("desk", "strength")]
    assert rows.loc["bias", "value"] == pytest.approx(np.mean(of_each))
    assert rows.loc["bias_furthest", "value"] == pytest.approx(of_each[1])
    assert rows.loc["bias", "low"] < rows.loc["bias", "value"] < rows.loc["bias", "high"]
    # More of the easy days leave it where it was.
    assert found(mixed(20, 6)).loc["bias", "value"] == pytest.approx(-3, abs=0.6)


def test_activities_that_differ_are_told_apart():
    rows = found(mixed(3, 6))
    of_each = [found(mixed(3, 6), at).loc["bias", "value"] for at in ("desk", "strength")]
    assert rows.loc["bias_apart", "value"] == pytest.approx(of_each[0] - of_each[1])
    assert rows.loc["bias_apart_p", "value"] < 0.001
    # One session tells not how it varies; of one activity there is nothing to hold apart.
    assert np.isnan(found(mixed(1, 6)).loc["bias_apart_p", "value"])
    assert "bias_apart" not in found(mixed(0, 6)).index


def test_over_activities_nothing_is_said_that_describes_no_session():
    assert not {"bias_next_session", "limit_lower", "limit_upper"} & set(found(mixed(2, 6)).index)
    assert {"bias_next_session", "limit_lower"} <= set(found(mixed(0, 6)).index)


def test_equivalence_over_activities_is_of_their_mean():
    row = found(mixed(2, 6)).loc["equivalence"]
    assert row["value"] == pytest.approx(-3, abs=0.6) and row["sessions"] == 8


def test_signs_of_bias_are_one_family():
    biases = {"watch": [1.0, 2.0, 1.5], "band": [-1.0, 2.0, 4.0], "clip": [3.0, 3.5, 2.0]}
    rows = [session(b, device=d) for d, values in biases.items() for b in values]
    table = findings(archive(*rows), CRITERIA, MARGINS, OverAll())
    found = table[table["statistic"] == "bias_p"].set_index(["device", "activity"])["value"]
    own = [stats.ttest_1samp(biases[device], 0).pvalue for device, _ in found.index]
    assert found.to_numpy() == pytest.approx(multipletests(own, method="holm")[1])
    assert len(found) == 6


def test_over_activities_one_of_a_single_session_counts_and_leaves_no_interval():
    """How it varies nobody knows: it may be otherwise than elsewhere."""
    sessions = [session(b) for b in (0.0, 1.0, -1.0)] + [session(30.0, activity="ride")]
    rows = found(archive(*sessions))
    assert rows.loc[["bias", "equivalence"], "value"].tolist() == [15, 15]
    assert rows.loc[["bias", "equivalence"], "sessions"].tolist() == [4, 4]
    assert rows.loc[["bias", "equivalence"], ["low", "high"]].isna().all(axis=None)
    assert np.isnan(rows.loc["bias_p", "value"])


def test_one_session_speaks_only_of_itself():
    rows = found(archive(session(3.0)))
    assert rows.loc["bias", "value"] == 3
    others = rows.loc[["bias", "bias_next_session", "equivalence"], ["low", "high"]]
    assert others.isna().all(axis=None)


def test_a_session_that_never_varies_can_be_pooled():
    rows = found(archive(session(0.0, 0.0, 1000.0), session(1.0), session(2.0)))
    assert np.isfinite(rows.loc["bias_between_sessions", "value"])


def test_nothing_measured_nothing_found():
    assert findings(archive(), CRITERIA, MARGINS, OverAll()).empty
    undefined = archive(session(np.nan, np.nan, np.nan, mape=np.nan))
    assert not {"bias", "limit_lower", "mape_median"} & set(found(undefined).index)


@pytest.mark.slow
def test_the_interval_for_a_further_session_holds_what_it_will_show():
    """Simulated truth: sessions that differ by 1 bpm (SD), each told to within 1 bpm (SD)."""
    held = 0
    for seed in range(120):
        random = np.random.default_rng(seed)
        shown = random.normal(2, 1, 9) + random.normal(0, 1, 9)
        table = archive(*(session(bias, 7.0, 49.0) for bias in shown[:8]))
        further = found(table).loc["bias_next_session"]
        held += further["low"] <= shown[8] <= further["high"]
    assert held >= 0.9 * 120
