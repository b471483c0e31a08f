"""Values of several subjects, summed up as the limits for repeated measures ask for them."""

import pandas as pd

from strapline.method.agreement.repeated_measures import SubjectSummaries


def summarise(subject, values):
    """subject, values: shape (n,)."""
    grouped = pd.Series(values, dtype=float).groupby(list(subject))
    count, mean, variance = grouped.count(), grouped.mean(), grouped.var()
    return SubjectSummaries(count.to_numpy(), mean.to_numpy(), variance.fillna(0).to_numpy())
