"""How every figure is had, and who says so: the one place where a page or a command takes it from.

r is the reference's and d the device's heart rate in the same second.
"""

from dataclasses import dataclass

COMMON = "common practice, no source"
OWN = "our own"
BLAND_ALTMAN = "Bland & Altman 1986, Lancet 327:307–310"
METERS = "EC13, IEC 60601-2-27 for heart-rate meters (from memory)"

BOOTSTRAP = "circular block bootstrap over the session’s seconds, 95 %; it describes that session"
NO_INTERVAL = "none"
WILSON = "Wilson 1927, 95 %"
LIMITS = (
    "limits for a true value that varies, sessions as subjects",
    "Bland & Altman 2007",
    "MOVER (Zou 2013), 95 %",
)


@dataclass(frozen=True)
class Formula:
    """In plain signs; `interval` says how its interval is made."""

    text: str
    source: str
    interval: str = BOOTSTRAP


FORMULAS = {
    "mean_reference": Formula("mean of r", COMMON),
    "mean_device": Formula("mean of d", COMMON),
    "bias": Formula("mean of d − r", BLAND_ALTMAN),
    "bias_percent": Formula("(mean d − mean r) / mean r, in percent", COMMON),
    "maximum_reference": Formula("max r", COMMON, NO_INTERVAL),
    "maximum_device": Formula("max d", COMMON, NO_INTERVAL),
    "maximum_difference": Formula("max d − max r", COMMON, NO_INTERVAL),
    "maximum_difference_percent": Formula(
        "(max d − max r) / max r, in percent", COMMON, NO_INTERVAL
    ),
    "sd_of_differences": Formula("SD (n − 1) of d − r", BLAND_ALTMAN),
    "limit_lower": Formula("bias − 1.96 SD of d − r", BLAND_ALTMAN),
    "limit_upper": Formula("bias + 1.96 SD of d − r", BLAND_ALTMAN),
    "mae": Formula("mean of abs(d − r)", COMMON),
    "rmse": Formula("root of the mean of (d − r)²", COMMON),
    "mape": Formula(
        "mean of abs(d − r) / r, in percent",
        "common practice; < 10 % is the threshold studies attribute to CTA-2065 (read in papers, "
        "not in the standard)",
    ),
    "absolute_error_p95": Formula("95th percentile of abs(d − r), interpolated linearly", COMMON),
    "within_beats": Formula("share of seconds with abs(d − r) ≤ {beats:g} bpm", METERS),
    "within_percent": Formula("share of seconds with abs(d − r) ≤ {percent:g} % of r", METERS),
    "within_either": Formula(
        "share of seconds with abs(d − r) ≤ {beats:g} bpm or {percent:g} % of r", METERS
    ),
    "pearson_r": Formula("product-moment correlation of r and d", COMMON),
    "concordance": Formula(
        "2 s_rd / (s_r² + s_d² + (mean r − mean d)²), moments over n",
        "Lin 1989, Biometrics 45:255–268; corrected 2000, 56:324–325",
    ),
    "delay_rising": Formula(
        "shift that best maps the reference’s rises of at least 6 bpm over 20 s onto the device’s",
        OWN,
        "Bayesian bootstrap over the rises, 95 %",
    ),
    "delay_falling": Formula(
        "shift that best maps the reference’s falls of at least 6 bpm over 20 s onto the device’s",
        OWN,
        "Bayesian bootstrap over the falls, 95 %",
    ),
    "first_lock": Formula(
        "seconds until d stays within {beats:g} bpm or {percent:g} % of r, whichever is wider, "
        "for 30 s",
        OWN,
        NO_INTERVAL,
    ),
    "effective_n": Formula(
        "seconds compared × variance / long-run variance of d − r",
        "flat-top lag window of Politis & White 2004, Econometric Reviews 23:53–70",
        NO_INTERVAL,
    ),
    "proportional_slope": Formula(
        "slope of d − r on (d + r) / 2, by least squares",
        "Bland & Altman 1999, Stat Methods Med Res 8:135–160",
        "least squares, with the effective number of independent seconds, 95 %",
    ),
    "coverage": Formula(
        "seconds compared, of those the reference could be compared in, in percent", COMMON
    ),
}

# Statistics over sessions, each of which gives one figure.
STATISTICS = {
    "bias": Formula(
        "random effects by REML, a session’s variance being SD² / effective_n; over several "
        "activities the mean of theirs",
        "Viechtbauer 2005",
        "Hartung & Knapp 2001, Röver et al. 2015; never narrower than the plain one",
    ),
    "bias_furthest": Formula("of the activities’ biases the furthest from 0", OWN, NO_INTERVAL),
    "bias_next_session": Formula(
        "what a further session will show, its own chance error included",
        "IntHout et al. 2016",
        "prediction interval, 95 %",
    ),
    "bias_between_sessions": Formula(
        "SD of the sessions’ true biases, by REML", "Viechtbauer 2005", NO_INTERVAL
    ),
    "bias_heterogeneity": Formula(
        "share of the spread that chance does not explain, by REML",
        "Viechtbauer 2005",
        NO_INTERVAL,
    ),
    "bias_over_wearers": Formula(
        "random effects with wearers as a second level",
        "Konstantopoulos 2011",
        "t interval over wearers, 95 %",
    ),
    "bias_next_wearer": Formula(
        "what a further wearer will show", "Konstantopoulos 2011", "prediction interval, 95 %"
    ),
    "limit_lower": Formula(*LIMITS),
    "limit_upper": Formula(*LIMITS),
    "mape_median": Formula("median of mape", COMMON, "order statistics (Thompson 1936), 95 %"),
    "mape_lowest": Formula("lowest mape", COMMON, NO_INTERVAL),
    "mape_highest": Formula("highest mape", COMMON, NO_INTERVAL),
    "met_mape": Formula("share of sessions with mape < {mape_below:g} %", COMMON, WILSON),
    "met_within": Formula(
        "share of sessions with within_either ≥ {time_within:g} %", COMMON, WILSON
    ),
    "met_concordance": Formula(
        "share of sessions with concordance ≥ {concordance:g}", COMMON, WILSON
    ),
    "equivalence": Formula(
        "mean of bias, each activity counting alike, for two one-sided tests against the margin",
        "Schuirmann 1987",
        "t interval, 1 − 2 alpha",
    ),
    "equivalence_p": Formula(
        "larger p of two one-sided tests against the margin", "Schuirmann 1987", NO_INTERVAL
    ),
}
