"""Errors of two devices over the seconds both were compared in."""

import numpy as np
import pandas as pd
import pytest

from strapline.ground.settings import Tolerance
from strapline.method.metrics.shared_seconds import shared_seconds
from unit.agreement.grids import grid, intake


def worn(*tables):
    named = []
    for name, table in zip(("band", "watch"), tables, strict=True):
        named.append(table.assign(recording=name, device=name))
    return pd.concat(named, ignore_index=True)


def found(*tables):
    figures = shared_seconds(worn(*tables), intake(), Tolerance())
    beside = figures["scope"].astype(str).str.startswith("beside:")
    return figures[beside].set_index(["recording", "metric"])


def test_how_far_two_devices_are_apart_is_told_with_one_in_the_place_of_the_strap():
    band = grid(["compared"] * 40, [100.0, 104.0] * 20)
    watch = grid(["compared"] * 30 + ["no_device"] * 10, [103.0] * 30 + [np.nan] * 10)
    figures = shared_seconds(worn(band, watch), intake(), Tolerance())
    against = figures[figures["scope"].astype(str).str.startswith("against:")]
    assert against["scope"].tolist() == ["against:watch", "against:band"]
    assert set(against["metric"]) == {"sd_of_differences"} and set(against["n"]) == {30}
    # −3 and 1 in turn: SD 2 over n.
    assert against["value"].tolist() == pytest.approx([2 * (30 / 29) ** 0.5] * 2)
    assert found(band, watch).loc[("watch", "sd_of_differences"), "value"] == 0


def test_only_seconds_of_both_count():
    band = grid(["compared"] * 60, [102.0] * 30 + [140.0] * 30)
    watch = grid(["compared"] * 40 + ["no_device"] * 20, [105.0] * 40 + [np.nan] * 20)
    figures = found(band, watch)
    # The band was off by 2 for 30 of the 40 shared seconds and by 40 for 10.
    assert figures.loc[("band", "mae"), "value"] == pytest.approx((30 * 2 + 10 * 40) / 40)
    assert figures.loc[("watch", "mape"), "value"] == pytest.approx(5)
    assert set(figures["n"]) == {40}
    assert figures.loc[("band", "mae"), "scope"] == "beside:watch"


def test_a_sparse_report_counts_by_its_seconds():
    band = grid(["compared"] * 90 + ["no_device"] * 90, [110.0] * 90 + [np.nan] * 90)
    minutes = grid(["compared"] * 180, np.repeat([103.0, 106.0, 190.0], 60), stands_for=60.0)
    figures = found(band, minutes)
    # All of the first minute, half of the second, none of the third.
    assert figures.loc[("watch", "mae"), "value"] == pytest.approx((60 * 3 + 30 * 6) / 90)
    assert figures.loc[("band", "mae"), "value"] == pytest.approx(10)
    assert figures.loc[("watch", "mae"), "n"] == figures.loc[("band", "mae"), "n"] == 90


def test_devices_that_were_never_right_together_have_no_figure():
    early = grid(["compared"] * 30 + ["no_device"] * 30, [101.0] * 30 + [np.nan] * 30)
    late = grid(["no_device"] * 30 + ["compared"] * 30, [np.nan] * 30 + [101.0] * 30)
    figures = found(early, late)
    assert figures["value"].isna().all() and set(figures["n"]) == {0}
    assert shared_seconds(early, intake(), Tolerance()).empty
