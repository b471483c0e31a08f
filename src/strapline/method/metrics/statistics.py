"""What there is to know of the statistics over sessions, each of which gives one figure."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.findings import RATES_BPM
from strapline.method.agreement.seconds_between import BELOW
from strapline.method.metrics.metric import COMMON, OWN

NO_INTERVAL = "none"
WILSON = "Wilson 1927, 95 %"

Criteria = Mapping[str, float]


@dataclass(frozen=True)
class Statistic:
    """A statistic of FINDINGS.

    formula, source, interval
        How it and its interval are had, in words, with the criteria by name in braces.
    of
        The figure of a session that it is about.
    again
        The same by a short path of its own, of the sessions' figures, shape (sessions,); None
        where there is none.
    """

    formula: str
    source: str
    interval: str
    of: str = "bias"
    again: Callable[[np.ndarray, Criteria], float] | None = None


LIMIT = Statistic(
    "of a further second of a further session, sessions counting alike: bias ± 1.96 root of "
    "(variance of sessions’ biases + mean of their variances over n), from 5 sessions",
    "Bland & Altman 2007",
    "the wider of MOVER (Zou 2013) and of what sessions’ shares in the variance show, 95 %",
)

LIMITS_AT = {
    f"limit_{side}_at_{rate}": Statistic(
        f"the same at {rate} bpm, of sessions whose heart rates reach it: by bias_at_{rate} and "
        f"sd_at_{rate}",
        "Bland & Altman 1999, section 3.2, in each session",
        LIMIT.interval,
        of=f"bias_at_{rate}",
    )
    for rate in RATES_BPM
    for side in ("lower", "upper")
}

OF_PEOPLE = {
    name: Statistic(
        f"of people: mean of the wearers’ shares of sessions with {what}",
        COMMON,
        "Clopper & Pearson 1934 with the wearers as cases, 95 %",
        of=figure,
    )
    for name, figure, what in (
        ("met_mape", "mape", "mape < {mape_below:g} %"),
        ("met_within", "within_either", "within_either ≥ {time_within:g} %"),
        ("met_concordance", "concordance", "concordance ≥ {concordance:g}"),
    )
}

STATISTICS: dict[str, Statistic] = {
    "reference_error": Statistic(
        "upper bound of the SD of the strap’s own error: root of the mean over sessions of "
        "(variance of A’s differences + that of B’s − that of A − B) / 2, A and B worn together; "
        "missing where it is below 0",
        "Grubbs 1948",
        "t interval of the mean variance, 95 %, its ends’ roots",
        of="sd_of_differences",
    ),
    "bias": Statistic(
        "mean of the sessions’ biases, each counting alike; over several activities the mean of "
        "theirs, of those that count over all",
        COMMON,
        "t interval, 95 %; the spread is that of sessions within a wearer, for these wearers, or "
        "of all sessions where that leaves fewer than three degrees of freedom; none "
        "where one of several activities has a single session",
    ),
    "bias_p": Statistic(
        "p of a bias of 0 by Student’s t, adjusted for all devices and activities",
        "Holm 1979",
        NO_INTERVAL,
    ),
    "bias_over_wearers_p": Statistic(
        "p of a bias of 0 of people by Student’s t, adjusted for all devices and activities",
        "Holm 1979",
        NO_INTERVAL,
    ),
    "bias_furthest": Statistic("of the activities’ biases the furthest from 0", OWN, NO_INTERVAL),
    "bias_apart": Statistic(
        "of the activities’ biases the highest minus the lowest", OWN, NO_INTERVAL
    ),
    "bias_apart_p": Statistic(
        "p of the activities’ biases being one, whose sessions vary differently",
        "Welch 1951",
        NO_INTERVAL,
    ),
    "bias_next_session": Statistic(
        "what a further session of these wearers will show",
        COMMON,
        "t interval of a further value, 95 %",
    ),
    "bias_between_sessions": Statistic(
        "SD of the sessions’ true biases, by moments, a session’s variance being SD² / effective_n",
        "DerSimonian & Laird 1986",
        NO_INTERVAL,
    ),
    "bias_heterogeneity": Statistic(
        "share of the spread that chance does not explain, by moments",
        "Higgins & Thompson 2002",
        NO_INTERVAL,
    ),
    "bias_over_wearers": Statistic(
        "of people: mean of the wearers’ means, of three wearers or more who did every activity",
        COMMON,
        "t interval with wearers − 1 degrees of freedom, 95 %",
    ),
    "bias_next_wearer": Statistic(
        "what a session of a further wearer will show: wearers’ means and sessions vary",
        "Bland & Altman 1999",
        "t interval of a further value, 95 %; left out where narrower than for a further session",
    ),
    "limit_lower": LIMIT,
    "limit_upper": LIMIT,
    **LIMITS_AT,
    **{
        name: Statistic(
            f"below what {100 * share:g} % of the seconds lie, sessions counting alike; from "
            "differences to a whole beat, evenly within it, from 5 sessions",
            "Bland & Altman 1999, section 6 (from memory)",
            NO_INTERVAL,
        )
        for name, share in BELOW.items()
    },
    "slope": Statistic(
        "mean of the sessions’ slopes of the difference on the mean of both, as that of bias",
        "Bland & Altman 1999, in each session",
        "t interval, 95 %, as that of bias",
        of="proportional_slope",
    ),
    "slope_p": Statistic(
        "p of a slope of 0 by Student’s t, adjusted for all devices and activities",
        "Holm 1979",
        NO_INTERVAL,
        of="proportional_slope",
    ),
    "mae_mean": Statistic(
        "mean of the sessions’ mean absolute errors, as that of bias",
        COMMON,
        "t interval, 95 %, as that of bias, cut off at 0",
        of="mae",
    ),
    "mape_median": Statistic(
        "median of mape",
        COMMON,
        "order statistics (Thompson 1936), 95 %",
        of="mape",
        again=lambda x, _: float(np.percentile(x, 50)),
    ),
    "mape_lowest": Statistic(
        "lowest mape", COMMON, NO_INTERVAL, of="mape", again=lambda x, _: float(np.sort(x)[0])
    ),
    "mape_highest": Statistic(
        "highest mape", COMMON, NO_INTERVAL, of="mape", again=lambda x, _: float(np.sort(x)[-1])
    ),
    "met_mape": Statistic(
        "share of sessions with mape < {mape_below:g} %",
        COMMON,
        WILSON,
        of="mape",
        again=lambda x, c: 100 * float((x < c["mape_below"]).sum()) / x.size,
    ),
    "met_within": Statistic(
        "share of sessions with within_either ≥ {time_within:g} %",
        COMMON,
        WILSON,
        of="within_either",
        again=lambda x, c: 100 * float((x >= c["time_within"]).sum()) / x.size,
    ),
    "met_concordance": Statistic(
        "share of sessions with concordance ≥ {concordance:g}",
        COMMON,
        WILSON,
        of="concordance",
        again=lambda x, c: 100 * float((x >= c["concordance"]).sum()) / x.size,
    ),
    **{f"{name}_over_wearers": met for name, met in OF_PEOPLE.items()},
    "failing": Statistic(
        "share of sessions with within_either < {time_within:g} %",
        OWN,
        "from 0 to the upper bound of Clopper & Pearson 1934, one-sided, 95 %",
        of="within_either",
        again=lambda x, c: 100 * float((x < c["time_within"]).sum()) / x.size,
    ),
    **{
        f"{name}_p": Statistic(
            "larger p of two one-sided tests against the margin", "Schuirmann 1987", NO_INTERVAL
        )
        for name in ("equivalence", "equivalence_over_wearers")
    },
    "equivalence": Statistic(
        "bias, for two one-sided tests against the margin",
        "Schuirmann 1987",
        "t interval, 1 − 2 alpha, as that of bias",
    ),
    "equivalence_over_wearers": Statistic(
        "bias of people, for two one-sided tests against the margin",
        "Schuirmann 1987",
        "t interval, 1 − 2 alpha, as that of bias_over_wearers",
    ),
}
