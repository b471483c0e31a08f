"""The statistics of agreement on published tables.

'Printed' is what a publication says after its own rounding; 'exact' is recomputed from its
table. Sources of the tables stand in data/SOURCES.md.
"""

import math
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from strapline.method.agreement.dependence import (
    autocorrelation,
    block_lengths,
    effective_size_first_order,
)
from strapline.method.agreement.equivalence import equivalence_of_summary
from strapline.method.agreement.pair_intervals import (
    concordance_with_interval,
    limits_with_intervals,
)
from strapline.method.agreement.pooling import pool
from strapline.method.agreement.proportional_bias import least_products
from strapline.method.agreement.reliability import intraclass_correlations
from strapline.method.agreement.repeated_measures import (
    limits_of_subject_means,
    limits_true_value_constant,
    limits_true_value_varies,
    summarise,
)

DATA = Path(__file__).parent / "data"


def columns(table, *names):
    frame = pd.read_csv(DATA / f"{table}.csv")
    return [frame[name].to_numpy() for name in names]


def ends(interval):
    return (interval.low, interval.high)


class TestIndependentPairs:
    def test_bland_and_altman_1986_as_printed(self):
        # Printed, with k = 2: bias -2.1, limits -79.7 / 75.5; intervals of the bias -22.0 / 17.8,
        # of the lower limit -114.3 / -45.1, of the upper 40.9 / 110.1.
        mini, wright = columns("pefr_ba1986", "mini1", "wright1")
        limits = limits_with_intervals(mini, wright, multiple=2, method="approximate")
        assert limits.bias == pytest.approx(-2.1, abs=0.05)
        assert limits.lower == pytest.approx(-79.7, abs=0.1)
        assert limits.upper == pytest.approx(75.5, abs=0.1)
        assert ends(limits.bias_interval) == pytest.approx((-22.0, 17.8), abs=0.1)
        assert ends(limits.lower_interval) == pytest.approx((-114.3, -45.1), abs=0.2)
        assert ends(limits.upper_interval) == pytest.approx((40.9, 110.1), abs=0.2)

    def test_bland_and_altman_1986_exact(self):
        mini, wright = columns("pefr_ba1986", "mini1", "wright1")
        limits = limits_with_intervals(mini, wright)
        assert limits.bias == pytest.approx(-2.117647, abs=1e-6)
        assert (limits.lower, limits.upper) == pytest.approx((-78.097, 73.862), abs=1e-3)
        assert ends(limits.bias_interval) == pytest.approx((-22.049, 17.814), abs=1e-3)

    def test_giavarina(self):
        # Printed: bias -27.17 (-40.16 / -14.17), limits -95.39 / 41.05.
        b, a = columns("giavarina2015", "Method B", "Method A")
        limits = limits_with_intervals(b, a)
        assert limits.bias == pytest.approx(-27.17, abs=0.005)
        assert ends(limits.bias_interval) == pytest.approx((-40.16, -14.17), abs=0.01)
        assert (limits.lower, limits.upper) == pytest.approx((-95.39, 41.05), abs=0.005)

    @pytest.mark.parametrize(
        ("table", "sides", "coefficient", "interval"),
        [
            ("pefr_ba1986", ("mini1", "wright1"), 0.9427424, (0.8504919, 0.9787263)),
            ("giavarina2015", ("Method B", "Method A"), 0.9915429, (0.9836429, 0.9956359)),
        ],
    )
    def test_concordance(self, table, sides, coefficient, interval):
        # Exact, by a general-purpose library: Lin's interval on Fisher's z.
        result = concordance_with_interval(*columns(table, *sides))
        assert result.coefficient == pytest.approx(coefficient, abs=1e-7)
        assert ends(result.interval) == pytest.approx(interval, abs=1e-7)

    def test_bias_correction_of_the_concordance(self):
        result = concordance_with_interval(*columns("pefr_ba1986", "mini1", "wright1"))
        assert result.bias_correction == pytest.approx(0.9994307, abs=1e-7)


class TestRepeatedMeasures:
    @pytest.fixture
    def cardiac(self):
        return columns("cardiac_output_ba1999_table4", "item", "IC", "RV")

    def test_true_value_varies(self, cardiac):
        # Bland & Altman 2007 on the table of 1999; exact.
        subject, ic, rv = cardiac
        limits = limits_true_value_varies(summarise(subject, rv - ic))
        assert limits.bias == pytest.approx(0.6021667, abs=1e-7)
        assert limits.sd == pytest.approx(0.99062408, abs=1e-7)
        assert (limits.lower, limits.upper) == pytest.approx((-1.3394565, 2.5437899), abs=1e-6)
        assert limits.within_variance == pytest.approx(0.17071, abs=1e-5)
        assert limits.between_variance == pytest.approx(0.81062, abs=1e-5)

    def test_naive_pooling_is_told_apart(self, cardiac):
        # All pairs taken as independent: -1.2815 / 2.4858, narrower than they should be.
        subject, ic, rv = cardiac
        naive = limits_with_intervals(ic, rv)
        assert (naive.lower, naive.upper) == pytest.approx((-1.2815, 2.4858), abs=1e-4)
        limits = limits_true_value_varies(summarise(subject, rv - ic))
        assert limits.lower < naive.lower - 0.05
        assert limits.upper > naive.upper + 0.05

    def test_true_value_constant(self, cardiac):
        subject, ic, rv = cardiac
        limits = limits_true_value_constant(summarise(subject, ic), summarise(subject, rv))
        assert limits.bias == pytest.approx(0.7092, abs=1e-4)
        assert limits.sd == pytest.approx(1.0517, abs=1e-3)
        assert (limits.lower, limits.upper) == pytest.approx((-1.352, 2.771), abs=1e-3)

    def test_mover_for_pairs(self):
        # Values of a public statistics package's tests, in which the ends are rounded.
        subject, y, x = columns("cardiac_first4_paired_zou", "id", "y", "x")
        limits = limits_of_subject_means(summarise(subject, x - y))
        assert limits.bias == pytest.approx(0.7255, abs=1e-4)
        assert (limits.lower, limits.upper) == pytest.approx((-2.14, 3.59), abs=0.005)
        assert ends(limits.lower_interval) == pytest.approx((-9.83, -0.33), abs=0.01)
        assert ends(limits.upper_interval) == pytest.approx((1.77, 11.27), abs=0.0101)

    def test_mover_for_replicates(self):
        subject, y, x = columns("cardiac_first4_unpaired_zou", "id", "y", "x")
        given = ~np.isnan(y)
        limits = limits_true_value_constant(
            summarise(subject[given], y[given]), summarise(subject, x)
        )
        assert (limits.lower, limits.upper) == pytest.approx((-2.23, 3.66), abs=0.005)
        assert ends(limits.lower_interval) == pytest.approx((-9.76, -0.48), abs=0.01)
        assert ends(limits.upper_interval) == pytest.approx((1.91, 11.20), abs=0.01)


def test_shrout_and_fleiss():
    # Printed (from memory): .17 .29 .71 .44 .62 .91.
    subject, judge, rating = columns("shrout_fleiss_1979_table2", "subject", "judge", "rating")
    ratings = np.empty((6, 4))
    ratings[subject - 1, judge - 1] = rating
    icc = intraclass_correlations(ratings)
    found = (icc.icc_1_1, icc.icc_2_1, icc.icc_3_1, icc.icc_1_k, icc.icc_2_k, icc.icc_3_k)
    exact = (0.165742, 0.289764, 0.714841, 0.442797, 0.620051, 0.909316)
    assert found == pytest.approx(exact, abs=1e-6)


def test_least_products_of_sokal_and_rohlf():
    line = least_products(*columns("mod2ex3", "Mass", "No_eggs"))
    assert line.slope == pytest.approx(2.119366, abs=1e-6)
    assert ends(line.slope_interval) == pytest.approx((1.496721, 3.001037), abs=1e-6)
    assert line.intercept == pytest.approx(12.193785, abs=1e-6)


class TestPoolingOfTrials:
    def test_dersimonian_laird(self):
        pooled = pool(*columns("bcg", "yi", "vi"), method="DL", hartung_knapp=False)
        assert pooled.tau2 == pytest.approx(0.3087603, abs=1e-7)
        assert pooled.estimate == pytest.approx(-0.7141172, abs=1e-7)
        assert pooled.standard_error == pytest.approx(0.1787421, abs=1e-7)
        assert pooled.q == pytest.approx(152.2330, abs=1e-4)

    def test_hartung_knapp(self):
        pooled = pool(*columns("bcg", "yi", "vi"), method="DL")
        assert pooled.standard_error == pytest.approx(0.1806966, abs=1e-7)
        assert ends(pooled.interval) == pytest.approx((-1.10782, -0.32041), abs=1e-5)

    def test_restricted_likelihood(self):
        # From memory, a public statistics package on the same table: tau² 0.3132, I² 92.22 %,
        # estimate -0.7145, SE 0.1798.
        pooled = pool(*columns("bcg", "yi", "vi"), hartung_knapp=False)
        assert pooled.tau2 == pytest.approx(0.3132, abs=5e-5)
        assert pooled.i2 == pytest.approx(92.22, abs=0.005)
        assert pooled.estimate == pytest.approx(-0.7145, abs=5e-5)
        assert pooled.standard_error == pytest.approx(0.1798, abs=5e-5)


def test_dependence_of_the_nile():
    (volume,) = columns("nile_annual", "volume")
    assert autocorrelation(volume) == pytest.approx(0.49841, abs=1e-5)
    assert effective_size_first_order(volume) == pytest.approx(33.475, abs=1e-3)
    lengths = block_lengths(volume)
    assert lengths.stationary == pytest.approx(12.3335, abs=1e-4)
    assert lengths.circular == pytest.approx(14.1183, abs=1e-4)


def test_two_one_sided_tests():
    # From a public statistics package's tests: paired, n 65, means 5.83 / 5.75, SD 1.17 / 1.29,
    # correlation .75, bounds ±0.4 SD of the differences.
    sd = math.sqrt(1.17**2 + 1.29**2 - 2 * 0.75 * 1.17 * 1.29)
    test = equivalence_of_summary(5.83 - 5.75, sd, 65, -0.4 * sd, 0.4 * sd)
    assert test.t_lower == pytest.approx(3.960381, abs=1e-6)
    assert test.t_upper == pytest.approx(-2.489426, abs=1e-6)
    assert test.p_lower == pytest.approx(9.5317e-5, rel=1e-4)
    assert test.p_upper == pytest.approx(0.00770235, abs=1e-8)
    assert test.p == test.p_upper
