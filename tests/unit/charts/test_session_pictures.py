"""The pictures of agreement in one session: what they show is what the tables say."""

import re

import numpy as np
import pandas as pd
import pytest

from strapline.ground.tables.sessions import ALIGNED, METRICS
from strapline.telling.charts import cells
from strapline.telling.charts.chart import pictures_of
from strapline.telling.charts.cumulative import CUMULATIVE, shares, sizes
from strapline.telling.charts.response import RESPONSE, errors_by_pace, means
from strapline.telling.charts.scatter import SCATTER, dots
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.drawings.size import WIDE
from unit.charts.drawings import PALETTE, drawing_of, rows

BENCH = ["watch-0", "watch-1"]
BAND = PALETTE.band


@pytest.fixture(scope="module")
def scattered(of_session):
    return SCATTER.of(of_session(), BENCH)


@pytest.fixture(scope="module")
def summed(of_session):
    return CUMULATIVE.of(of_session(), BENCH)


def test_scatter_counts_every_compared_second_once(aligned, scattered):
    found, size = dots(aligned, "watch-0")
    assert size == 2
    assert found["seconds"].sum() == 600 - 20 - 30
    drawn = rows(scattered, "dots", "seconds")
    assert sum(row["place"] == 0 for row in drawn) == len(found)
    assert sum(row["seconds"] for row in drawn) == found["seconds"].sum() + 600 - 30


def test_scatter_has_the_line_of_agreement_within_the_tolerance(scattered):
    values, height = scattered.content.values, 420
    drawing = drawing_of(SCATTER, scattered)
    line, *_ = re.findall(r'<path [^>]*d="M0,420L([\d.,L]+)"[^>]*stroke-width="1.5"', drawing)
    assert line.split("L")[-1].split(",")[1] == "0"
    a_beat = height / (values["high"] - values["low"])
    band, *_ = re.findall(rf'<path [^>]*d="M0,([\d.]+)L[^"]*,([\d.]+)Z"[^>]*fill="{BAND}"', drawing)
    widest = max(5, 0.1 * values["low"])
    ends = [height - widest * a_beat, height + widest * a_beat]
    assert [float(end) for end in band] == pytest.approx(ends, abs=0.2)


def test_scatter_says_the_tables_shares(scattered):
    assert "Watch one 62.5 % and Watch two 62.5 %" in scattered.alt


def test_many_seconds_make_no_more_dots_than_can_be_told_apart():
    random = np.random.default_rng(7)
    points = pd.DataFrame(random.normal(130, 40, (20_000, 2)), columns=["reference", "device"])
    found, size = cells.cells(points)
    assert size > 2 and len(found) <= 450
    assert found["seconds"].sum() == 20_000


def late_by(seconds, length=600):
    """A strap that rises and falls by a beat a second, and a device that is late."""
    times = pd.Timestamp("2026-03-01T10:00:00Z") + pd.to_timedelta(np.arange(length), unit="s")
    heart = 130 + 40 * np.abs((np.arange(length + seconds) / 40) % 2 - 1)
    return ALIGNED.frame(
        {
            "recording": ["watch-0"] * length,
            "device": ["watch-0"] * length,
            "alignment": ["settled"] * length,
            "time": times,
            "reference_bpm": heart[seconds:],
            "device_bpm": heart[:length],
            "status": ["compared"] * length,
            "stands_for_s": [1.0] * length,
        }
    )


def test_a_late_device_is_low_on_rises_and_high_on_falls():
    found = errors_by_pace(late_by(4), "watch-0")
    assert len(found) == 600 - 10
    table = means(found)
    # A beat a second and 4 s late: 4 bpm.
    first, last = table.iloc[0], table.iloc[-1]
    assert (first["pace"], last["pace"]) == pytest.approx((-10, 10), abs=0.2)
    assert (first["error"], last["error"]) == pytest.approx((4, -4), abs=0.4)


def test_a_device_that_reports_seldom_knows_no_pace(of_session):
    seldom = late_by(4)
    seldom["stands_for_s"] = 60.0
    assert errors_by_pace(seldom, "watch-0").empty
    assert "reports every second" in RESPONSE.alt(of_session(aligned=seldom))


def test_a_short_session_has_no_mean_worth_drawing(of_session):
    short = RESPONSE.of(of_session(aligned=late_by(4, length=25)), BENCH)
    assert "reports every second" in short.alt


def test_response_says_the_tables_delays(metrics, of_session):
    delays = metrics[metrics["metric"] == "mae"]
    rising = delays.assign(metric="delay_rising", value=4.25)
    falling = delays.assign(metric="delay_falling", value=6.0)
    tables = of_session(aligned=late_by(4), metrics=pd.concat([rising, falling]))
    shown = RESPONSE.of(tables, BENCH)
    assert "Watch one, 4.2 s late at rises, 6.0 s late at falls" in shown.alt
    (end,) = rows(shown, "ends", "lines")
    assert end["lines"][-1] == "+4.2, +6.0 s"
    assert {row["place"] for row in rows(shown, "lines", "x")} == {0}


def test_cumulative_shares_count_the_seconds(aligned, summed):
    errors = sizes(aligned, "watch-0")
    table = shares(errors, 15).set_index("error")["share"]
    assert table.is_monotonic_increasing
    for error in (0.0, 5.0, 9.75, 10.0, 15.0):
        assert table[error] == pytest.approx(100 * np.mean(errors <= error))
    drawn = rows(summed, "lines", "x")
    assert [row["place"] for row in drawn] == [0] * 121 + [1] * 121


def test_cumulative_marks_the_tolerance_at_the_tables_share(summed):
    points = rows(summed, "points", "x")
    assert [(row["x"], row["y"]) for row in points] == [(5, 37.5)] * 2
    assert "Watch one within 5 bpm for 37.5 % of it, and within 9.5 bpm for 95 %" in summed.alt


HOURS = 12
DEVICES = 4


@pytest.fixture(scope="module")
def long_session(build_intake, of_session):
    """Half a day of four devices that read by chance around the reference, once 99 bpm off."""
    random = np.random.default_rng(3)
    seconds = HOURS * 3600
    reference = 110 + 40 * np.sin(np.arange(seconds) / 900) + random.normal(0, 2, seconds)
    start = pd.Timestamp("2026-03-04T06:00:00Z").as_unit("ms")
    views = []
    for index in range(DEVICES):
        device = reference + random.normal(0, 8, seconds)
        device[20_000] = reference[20_000] + 99
        views.append(
            ALIGNED.frame(
                {
                    "recording": [f"watch-{index}"] * seconds,
                    "device": [f"watch-{index}"] * seconds,
                    "alignment": ["settled"] * seconds,
                    "time": pd.Series(start + pd.to_timedelta(np.arange(seconds), unit="s")),
                    "reference_bpm": reference,
                    "device_bpm": device,
                    "status": ["compared"] * seconds,
                    "stands_for_s": np.ones(seconds),
                }
            )
        )
    names = [f"Watch {index}" for index in range(DEVICES)]
    seconds = {"aligned": pd.concat(views), "metrics": METRICS.empty()}
    return pictures_of(SESSION_CHARTS, of_session(intake=build_intake(*names), **seconds), [])


def test_no_spike_of_a_long_session_is_lost(long_session):
    seconds = rows(long_session["traces"], "devices", "difference")
    for place in range(DEVICES):
        own = [row["difference"] for row in seconds if row["place"] == place]
        assert len(own) <= 2 * WIDE.width and max(own) == 99


def test_pictures_of_a_long_session_leave_its_page_small(long_session):
    sizes_of = {name: len(picture.source) for name, picture in long_session.items()}
    assert sum(sizes_of.values()) < 600_000, sizes_of
