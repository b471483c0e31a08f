"""Which sessions count in what is said over sessions."""

import numpy as np
import pytest

import intakes
from benchmarks.made_sessions import autoregression
from strapline.ground.records.alignment import ClockDecision, SessionAlignment
from strapline.ground.records.described import Described
from strapline.method.agreement.dependence import effective_size
from strapline.method.agreement.session_table import session_table
from strapline.method.agreement.votes import FEWEST_STRETCHES, left_out, votes, why_not
from unit.agreement.archives import archive


def counted(**figures):
    return len(session_table(archive({"bias": 1.0} | figures), ("bias",)))


def test_a_session_counts_from_five_minutes_on():
    assert counted(n=300) == 1
    assert counted(n=299) == 0


def test_a_few_readings_that_stand_for_a_long_time_do_not_count():
    assert counted(effective_n=2.0) == 1
    assert counted(effective_n=1.9) == 0
    assert counted(effective_n=np.nan) == 0


def test_a_part_that_is_too_short_does_not_count_in_a_session_that_does():
    parts = (("whole", 1800), ("beside:band", 299), ("beside:ring", 300))
    metrics = archive(*({"mae": 1.0, "scope": scope, "n": n} for scope, n in parts))
    metrics = metrics[(metrics["metric"] == "mae") | (metrics["n"] == 1800)].assign(session="s")
    assert set(metrics.loc[votes(metrics), "scope"]) == {"whole", "beside:ring"}


@pytest.mark.parametrize("seconds", [300, 1200, 3600])
@pytest.mark.parametrize("share", [0.1, 0.3, 0.5, 0.7, 0.9])
def test_none_is_left_out_for_what_the_device_did(seconds, share):
    """It fails from one moment on, or drifts: the longest that errors can hang together."""
    sizes = []
    for seed in range(20):
        errors = autoregression(np.random.default_rng(seed), seconds, 0.95, 3)
        failing = np.where(np.arange(seconds) > share * seconds, -25, 0)
        sizes += [
            effective_size(errors + failing),
            effective_size(errors + np.linspace(0, 25, seconds)),
        ]
    assert min(sizes) > FEWEST_STRETCHES


def test_it_is_said_why():
    assert why_not("Grey watch", 184) == (
        "Only 3 min 4 s of Grey watch could be compared. A session counts from 5 min on."
    )
    assert "too few readings" in why_not("Grey watch", 1800)


def of_one_session(**clock):
    """A session of one watch whose clock was set so."""
    decided = ClockDecision(recording="watch", reason="Fits.", **clock)
    return Described(
        intake=intakes.session(
            intakes.strap(), intakes.recording(label="Grey watch"), name="s-000"
        ),
        alignment=SessionAlignment(session="s-000", reference="strap", clocks=(decided,)),
        first=None,
        last=None,
    )


@pytest.mark.parametrize(
    ("clock", "counts"),
    [
        ({"decision": "refused", "offset_s": 0.0}, True),
        ({"decision": "channels", "offset_s": -45.0}, True),
        ({"decision": "estimated", "offset_s": 3600.0, "gross_shift_s": 3600.0}, True),
        ({"decision": "estimated", "offset_s": 3645.0, "gross_shift_s": 3600.0}, False),
        ({"decision": "estimated", "offset_s": -45.0}, False),
    ],
)
def test_a_clock_that_heart_rate_set_to_the_second_counts_in_nothing(clock, counts):
    metrics = archive({"mae": 1.0, "alignment": "settled"})
    found = left_out(metrics, [of_one_session(**clock)])
    assert (found == {}) == counts
    if not counts:
        assert "flatters" in found["s-000", "watch"] and "Grey watch" in found["s-000", "watch"]


def test_too_short_a_recording_counts_in_nothing_and_one_never_compared_is_not_named():
    short = archive({"mae": 1.0, "n": 299})
    session = of_one_session(decision="refused", offset_s=0.0)
    assert "counts from 5 min on" in left_out(short, [session])["s-000", "watch"]
    assert left_out(short[:0], [session]) == {}
