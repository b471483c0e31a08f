"""The statistics of agreement on published tables.

'Printed' is what a publication says after its own rounding; 'exact' is recomputed from its
table. Sources of the tables stand in data/SOURCES.md.
"""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from strapline.method.agreement.dependence import block_length
from strapline.method.agreement.equivalence import equivalence_of_mean
from strapline.method.agreement.heterogeneity import heterogeneity
from strapline.method.agreement.limit_intervals import Component, limit_margins
from strapline.method.agreement.pairs import concordance, limits_of_agreement
from strapline.method.agreement.repeated_measures import SubjectSummaries, limits_of_repeated
from unit.agreement.subjects import summarise

DATA = Path(__file__).parent / "data"


def columns(table, *names):
    frame = pd.read_csv(DATA / f"{table}.csv")
    return [frame[name].to_numpy() for name in names]


def freedom_within(subjects):
    return float(np.sum(subjects.count - 1))


class TestIndependentPairs:
    def test_bland_and_altman_1986(self):
        # Printed, with two SD: bias -2.1, limits -79.7 / 75.5.
        limits = limits_of_agreement(*columns("pefr_ba1986", "mini1", "wright1"))
        assert limits.bias == pytest.approx(-2.1, abs=0.05)
        assert limits.bias - 2 * limits.sd == pytest.approx(-79.7, abs=0.1)
        assert limits.bias + 2 * limits.sd == pytest.approx(75.5, abs=0.1)
        # Exact.
        assert limits.bias == pytest.approx(-2.117647, abs=1e-6)
        assert (limits.lower, limits.upper) == pytest.approx((-78.097, 73.862), abs=1e-3)

    def test_giavarina(self):
        # Printed: bias -27.17, limits -95.39 / 41.05.
        limits = limits_of_agreement(*columns("giavarina2015", "Method B", "Method A"))
        assert limits.bias == pytest.approx(-27.17, abs=0.005)
        assert (limits.lower, limits.upper) == pytest.approx((-95.39, 41.05), abs=0.005)

    @pytest.mark.parametrize(
        ("table", "sides", "coefficient"),
        [
            ("pefr_ba1986", ("mini1", "wright1"), 0.9427424),
            ("giavarina2015", ("Method B", "Method A"), 0.9915429),
        ],
    )
    def test_concordance(self, table, sides, coefficient):
        # Exact, by a general-purpose library.
        assert concordance(*columns(table, *sides)) == pytest.approx(coefficient, abs=1e-7)


class TestRepeatedMeasures:
    """One function for all three publications: what differs are the weights of subjects."""

    @pytest.fixture
    def cardiac(self):
        return columns("cardiac_output_ba1999_table4", "item", "IC", "RV")

    def test_each_value_counts_alike(self, cardiac):
        # Bland & Altman 2007 on the table of 1999, the true value varies; exact.
        subject, ic, rv = cardiac
        subjects = summarise(subject, rv - ic).alike()
        limits = limits_of_repeated(subjects, subjects.count)
        assert limits.bias == pytest.approx(0.6021667, abs=1e-7)
        assert limits.sd == pytest.approx(0.99062408, abs=1e-7)
        assert (limits.lower, limits.upper) == pytest.approx((-1.3394565, 2.5437899), abs=1e-6)
        # Analysis of variance: mean squares 4.20909 between and 0.17071 within, divisor 4.98182,
        # variance between 0.81062.
        square = subjects.variance[0]
        assert square == pytest.approx(0.17071, abs=1e-5)
        assert limits.between * 4.98182 == pytest.approx(4.20909, abs=1e-4)
        assert limits.sd**2 - square == pytest.approx(0.81062, abs=1e-5)

    def test_each_subject_counts_alike(self, cardiac):
        # Bland & Altman 1999 on the same table, as if the true value were constant: the variance
        # of a single difference is that of subjects' means and what the values within add.
        subject, ic, rv = cardiac
        of_rv, of_ic = (summarise(subject, side).alike() for side in (rv, ic))
        # Each side repeats on its own, so both add their variance.
        variance = of_rv.variance + of_ic.variance
        limits = limits_of_repeated(
            SubjectSummaries(of_rv.count, of_rv.mean - of_ic.mean, variance)
        )
        assert limits.bias == pytest.approx(0.7092, abs=1e-3)
        assert limits.sd == pytest.approx(1.0517, abs=1e-3)
        assert (limits.lower, limits.upper) == pytest.approx((-1.352, 2.771), abs=1e-3)

    def test_naive_pooling_is_told_apart(self, cardiac):
        # All pairs taken as independent: -1.2815 / 2.4858, narrower than they should be.
        subject, ic, rv = cardiac
        naive = limits_of_agreement(ic, rv)
        assert (naive.lower, naive.upper) == pytest.approx((-1.2815, 2.4858), abs=1e-4)
        subjects = summarise(subject, rv - ic).alike()
        limits = limits_of_repeated(subjects, subjects.count)
        assert limits.lower < naive.lower - 0.05
        assert limits.upper > naive.upper + 0.05

    def test_pairs_with_their_margins(self):
        # Zou 2013, in values of a public statistics package's tests, in which the ends are
        # rounded.
        subject, y, x = columns("cardiac_first4_paired_zou", "id", "y", "x")
        subjects = summarise(subject, x - y).alike()
        limits = limits_of_repeated(subjects)
        assert limits.bias == pytest.approx(0.7255, abs=5e-5)
        within = Component.chi_squared(limits.within, freedom_within(subjects))
        self.check(limits, [within], (-2.14, 3.59), (-9.83, -0.33), (1.77, 11.27))

    def test_unpaired_replicates_with_their_margins(self):
        subject, y, x = columns("cardiac_first4_unpaired_zou", "id", "y", "x")
        first, second = (
            summarise(subject[~np.isnan(side)], side[~np.isnan(side)]).alike() for side in (x, y)
        )
        # Each side has its own number of values: its part within is that of its own limits.
        means = SubjectSummaries(
            np.ones(first.subjects), first.mean - second.mean, np.zeros(first.subjects)
        )
        limits = limits_of_repeated(means)
        sides = [(limits_of_repeated(one).within, freedom_within(one)) for one in (first, second)]
        within = [Component.chi_squared(*side) for side in sides]
        limits = replace(limits, within=sum(part.value for part in within))
        self.check(limits, within, (-2.23, 3.66), (-9.76, -0.48), (1.91, 11.20))

    @staticmethod
    def check(limits, within, points, lower, upper):
        """By Zou 2013 four subjects' means vary with 3 degrees of freedom, the bias by z."""
        between = Component.chi_squared(limits.between, 3)
        margins = limit_margins([between, *within], 1.959964 * math.sqrt(limits.between / 4))
        assert (limits.lower, limits.upper) == pytest.approx(points, abs=0.005)
        ends = limits.lower - margins.outward, limits.lower + margins.inward
        assert ends == pytest.approx(lower, abs=0.0101)
        ends = limits.upper - margins.inward, limits.upper + margins.outward
        assert ends == pytest.approx(upper, abs=0.0101)


def test_trials_differ_more_than_by_chance():
    # DerSimonian & Laird 1986 on the trials of Colditz 1994, exact.
    found = heterogeneity(*columns("bcg", "yi", "vi"))
    assert found.q == pytest.approx(152.2330, abs=1e-4)
    assert found.tau2 == pytest.approx(0.3087603, abs=1e-7)


def test_dependence_of_the_nile():
    (volume,) = columns("nile_annual", "volume")
    assert block_length(volume) == pytest.approx(14.1183, abs=1e-4)


def test_two_one_sided_tests():
    # From a public statistics package's tests: paired, n 65, means 5.83 / 5.75, SD 1.17 / 1.29,
    # correlation .75, bounds ±0.4 SD of the differences.
    sd = math.sqrt(1.17**2 + 1.29**2 - 2 * 0.75 * 1.17 * 1.29)
    error = sd / math.sqrt(65)
    for lower, upper, p in (
        (-0.4 * sd, 0.4 * sd, 0.00770235),
        (-math.inf, 0.4 * sd, 0.00770235),
        (-0.4 * sd, math.inf, 9.5317e-5),
    ):
        found = equivalence_of_mean(5.83 - 5.75, error, 64, lower, upper)
        assert found.p == pytest.approx(p, rel=1e-4)
