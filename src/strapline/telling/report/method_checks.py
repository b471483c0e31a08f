"""What each formula was checked against, and by which test: for the Method page."""

from strapline.method.agreement.findings import RATES_BPM
from strapline.method.metrics.registry import METRICS

PIPELINE = "tests/published/test_whole_pipeline.py"
_UNIT = "tests/unit"
_PAIRS = f"{_UNIT}/agreement/test_pairs.py"
_FINDINGS = f"{_UNIT}/agreement/test_findings.py"
_RESPONSE = f"{_UNIT}/signal/test_response.py"
_SUMS = f"{_UNIT}/consequences/test_sums.py"
_LOAD = f"{_UNIT}/consequences/test_load.py"
_CONSEQUENCES = f"{_UNIT}/consequences/test_session_consequences.py"

NOTHING = "nothing from outside"


def _published(work: str, test: str) -> str:
    return f"published values: {work} ({test})"


def _not_published(by: str, test: str) -> str:
    return f"no published value; {by} ({test})"


BY_HAND = "worked out by hand"
KNOWN = "simulations with a known truth"

_ASKED = f"{_UNIT}/metrics/test_metrics_asked.py, test_each_is_what_others_say"
_LIMITS = _published(
    "Giavarina 2015; Bland & Altman 1986, recomputed", f"{PIPELINE}, test_giavarina"
)
_ERRORS = _not_published("an invented table", f"{PIPELINE}, test_a_delay_of_seven_seconds")
_PERCENT = _not_published(BY_HAND, f"{PIPELINE}, test_percent_differences_are_of_the_reference")
_WITHIN = _not_published(BY_HAND, f"{_PAIRS}, test_the_wider_tolerance_by_hand")
_DELAY = _not_published(KNOWN, f"{_RESPONSE}, test_a_plain_delay_is_found_for_rises_and_falls")

# By the names of METRICS. That test asks every figure; here stands what was checked besides.
IN_A_SESSION = dict.fromkeys(
    (metric.key for metric in METRICS), _not_published("general-purpose libraries", _ASKED)
) | {
    "mean_reference": _PERCENT,
    "mean_device": _PERCENT,
    "bias": _LIMITS,
    "bias_percent": _PERCENT,
    "maximum_reference": NOTHING,
    "maximum_device": NOTHING,
    "maximum_difference": NOTHING,
    "maximum_difference_percent": _PERCENT,
    "sd_of_differences": _LIMITS,
    "limit_lower": _LIMITS,
    "limit_upper": _LIMITS,
    "mae": _ERRORS,
    "rmse": _ERRORS,
    "mape": _ERRORS,
    "absolute_error_p95": _not_published(
        "pandas", f"{PIPELINE}, test_every_figure_can_be_had_from_the_aligned_rows"
    ),
    "within_beats": _WITHIN,
    "within_percent": _WITHIN,
    "within_either": _WITHIN,
    "pearson_r": _not_published("SciPy and Pingouin", f"{_PAIRS}, test_pearson_as_scipy"),
    "concordance": _not_published(
        "a general library on the table of Bland & Altman 1986",
        f"{PIPELINE}, test_bland_and_altman_1986",
    ),
    "delay_rising": _DELAY,
    "delay_falling": _DELAY,
    "first_lock": _not_published(
        BY_HAND, f"{_RESPONSE}, test_first_lock_is_the_start_of_the_first_stretch_that_holds"
    ),
    "effective_n": _not_published(
        KNOWN,
        f"{_UNIT}/agreement/test_dependence.py, test_effective_size_of_long_autoregressions",
    ),
    "proportional_slope": _not_published(
        "statsmodels",
        f"{_UNIT}/agreement/test_proportional_bias.py, test_line_as_statsmodels",
    ),
    **{
        f"{name}_at_{rate}": _not_published(
            "SciPy", f"{_UNIT}/agreement/test_proportional_bias.py, test_regression_limits_by_hand"
        )
        for name in ("bias", "sd")
        for rate in RATES_BPM
    },
    **dict.fromkeys(
        ("spread_about_line", "spread_slope"),
        _not_published("SciPy", _ASKED),
    ),
    "coverage": _not_published(BY_HAND, f"{_UNIT}/tracing/test_recompute.py, test_by_hand"),
}

_POOLED = _published(
    "the trials of Colditz et al. 1994, recomputed",
    f"{_FINDINGS}, test_biases_differ_as_trials_do",
)
_VARYING = _published(
    "Zou 2013 on Bland & Altman 1999, table 4",
    f"{PIPELINE}, test_repeated_measures_of_four_subjects",
)
_REGRESSION = _not_published(
    KNOWN, f"{_FINDINGS}, test_limits_at_a_heart_rate_are_those_of_what_was_made"
)
_RANGE = _not_published(BY_HAND, f"{_FINDINGS}, test_median_and_range_of_relative_errors")
_SHARES = _not_published("SciPy", f"{_FINDINGS}, test_shares_of_sessions_that_meet_criteria")
_EQUIVALENT = _not_published("SciPy", f"{_FINDINGS}, test_equivalence_is_tested_over_sessions")

_MEANS = f"{_UNIT}/agreement/test_means.py"
_SHARE = f"{_UNIT}/agreement/test_proportions.py"
_PEOPLE = _not_published("statsmodels", f"{_MEANS}, test_people_as_a_mixed_model")
_SIGNS = _not_published("SciPy and statsmodels", f"{_FINDINGS}, test_signs_of_bias_are_one_family")
_CASES = _not_published("SciPy", f"{_FINDINGS}, test_of_people_each_wearer_is_one_case")

# By the names of FINDINGS.
OVER_SESSIONS = {
    "reference_error": _not_published(
        KNOWN, f"{_UNIT}/agreement/test_reference_error.py, test_errors_apart_are_told_apart"
    ),
    "bias": _published(
        "Bland & Altman 1999, table 4",
        f"{PIPELINE}, test_repeated_measures_each_subject_counting_alike",
    ),
    "bias_furthest": _not_published(
        BY_HAND, f"{_FINDINGS}, test_over_activities_each_counts_alike"
    ),
    "bias_apart": _not_published(
        BY_HAND, f"{_FINDINGS}, test_activities_that_differ_are_told_apart"
    ),
    "bias_apart_p": _not_published(
        "SciPy",
        f"{_UNIT}/agreement/test_heterogeneity.py, test_means_of_unequal_spread_as_scipy",
    ),
    "bias_next_session": _not_published(
        KNOWN,
        f"{_FINDINGS}, test_the_interval_for_a_further_session_holds_what_it_will_show",
    ),
    "bias_between_sessions": _POOLED,
    "bias_heterogeneity": _POOLED,
    "bias_p": _SIGNS,
    "bias_over_wearers_p": _SIGNS,
    "bias_over_wearers": _PEOPLE,
    "bias_next_wearer": _PEOPLE,
    "limit_lower": _VARYING,
    "limit_upper": _VARYING,
    **{f"limit_{side}_at_{rate}": _REGRESSION for side in ("lower", "upper") for rate in RATES_BPM},
    **dict.fromkeys(
        ("seconds_lower", "seconds_upper"),
        _not_published(
            "NumPy",
            f"{_UNIT}/agreement/test_seconds_between.py, test_as_weighted_quantiles_of_all_seconds",
        ),
    ),
    "slope": _not_published("statsmodels", f"{_FINDINGS}, test_slopes_are_pooled_as_biases_are"),
    "slope_p": _SIGNS,
    "mae_mean": _not_published(
        "statsmodels", f"{_FINDINGS}, test_errors_are_pooled_as_biases_are_and_never_below_0"
    ),
    "mape_median": _RANGE,
    "mape_lowest": _RANGE,
    "mape_highest": _RANGE,
    "met_mape": _SHARES,
    "met_within": _SHARES,
    "met_concordance": _SHARES,
    "met_mape_over_wearers": _CASES,
    "met_within_over_wearers": _CASES,
    "met_concordance_over_wearers": _CASES,
    "failing": _not_published("SciPy", f"{_SHARE}, test_a_bound_as_scipy"),
    "equivalence": _EQUIVALENT,
    "equivalence_p": _EQUIVALENT,
    "equivalence_over_wearers": _PEOPLE,
    "equivalence_over_wearers_p": _PEOPLE,
}

_BANDS = _not_published(BY_HAND, f"{_SUMS}, test_minutes_in_each_band_are_those_of_the_ladder")
_ALARM = _not_published(BY_HAND, f"{_SUMS}, test_time_above_a_rate_is_missed_or_invented")
_PEAKS = _not_published(KNOWN, f"{_CONSEQUENCES}, test_peaks_are_as_far_off_and_as_late_as_made")

# By the names of consequence_formulas.
OF_CONSEQUENCES = {
    "bands": _BANDS,
    "alarm": _ALARM,
    "banister": _not_published(
        BY_HAND, f"{_LOAD}, test_half_an_hour_at_seven_tenths_of_the_reserve"
    ),
    "edwards": _not_published(BY_HAND, f"{_LOAD}, test_zones_are_weighed_one_to_five"),
    "energy": _not_published(BY_HAND, f"{_LOAD}, test_a_minute_at_150_bpm"),
    "peak": _PEAKS,
    "peak_delay": _PEAKS,
    "recovery": _not_published(
        KNOWN,
        f"{_CONSEQUENCES}, test_recovery_is_the_fall_within_a_minute_after_the_highest_peak",
    ),
}
