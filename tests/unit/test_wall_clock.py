"""Readings of a wall clock over the nights in which clocks are changed.

Berlin's changes are those of the tz database: on 26 October 2025, 03:00 summer time (01:00 UTC)
became 02:00; on 29 March 2026, 02:00 became 03:00 (01:00 UTC).
"""

import pandas as pd
import pytest

from strapline.ground.wall_clock import unfolded, wall_in_utc

ZONE = "Europe/Berlin"


def shown(start: str, seconds: range) -> tuple[pd.Series, pd.Series]:
    """What a clock in Berlin shows, as if in UTC, and the moments themselves."""
    moments = pd.Series(pd.Timestamp(start, tz="UTC") + pd.to_timedelta(list(seconds), unit="s"))
    wall = moments.dt.tz_convert(ZONE).dt.tz_localize(None).dt.tz_localize("UTC")
    return wall, moments


@pytest.mark.parametrize("start", ["2025-10-26T00:45", "2025-10-25T22:30", "2026-03-29T00:45"])
@pytest.mark.parametrize("step_s", [1, 15])
@pytest.mark.parametrize("is_reversed", [False, True])
def test_times_go_on_when_clocks_are_changed(start: str, step_s: int, is_reversed: bool) -> None:
    wall, moments = shown(start, range(0, 3 * 3600, step_s))
    if is_reversed:
        wall, moments = (one[::-1].reset_index(drop=True) for one in (wall, moments))
    assert wall_in_utc(wall, ZONE).tolist() == moments.tolist()


def test_a_pause_over_the_change_is_bridged() -> None:
    wall, moments = shown("2025-10-26T00:45", range(3600))
    kept = wall.index[(wall.index < 700) | (wall.index > 1300)]
    wall, moments = wall[kept].reset_index(drop=True), moments[kept].reset_index(drop=True)
    assert wall_in_utc(wall, ZONE).tolist() == moments.tolist()


def test_the_second_of_two_hours_goes_on_into_the_next() -> None:
    wall, moments = shown("2025-10-26T01:40", range(2400))
    assert wall_in_utc(wall, ZONE).tolist() == moments.tolist()


def test_within_the_hour_that_occurs_twice_it_is_the_first() -> None:
    wall, moments = shown("2025-10-26T00:10", range(1200))
    assert wall_in_utc(wall, ZONE).tolist() == moments.tolist()


def test_missing_times_stay_so_and_an_unfolded_clock_goes_on() -> None:
    wall, moments = shown("2025-10-26T00:45", range(3600))
    wall[10] = pd.NaT
    read = wall_in_utc(wall, ZONE)
    assert read.isna().sum() == 1 and read[11] == moments[11]
    assert unfolded(wall).dropna().is_monotonic_increasing
    plain, _ = shown("2025-07-26T00:45", range(3600))
    assert unfolded(plain).equals(plain)
