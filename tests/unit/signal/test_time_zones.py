"""A time zone in doubt is asked for before a clock that states UTC is told to be wrong."""

import numpy as np
import pytest

from intakes import recording, strap
from strapline.ground.records.card import ClockNote
from strapline.ground.settings import Alignment
from strapline.method.signal.clocks.decide import decide, decide_all
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.trace import Trace

HOUR = 3600
SECONDS = 1_770_000_000.0 + np.arange(1500)
RATE = 130 + 25 * np.sin(np.cumsum(np.random.default_rng(1).normal(0, 0.03, SECONDS.size)))
LOCAL = {"clock": "local", "clock_note": ClockNote(time_zone="UTC")}


def pair(entry, ahead_s, reference, seed=2):
    """A device 4 s late whose file's times are ahead by so much."""
    noise = np.random.default_rng(seed).normal(0, 0.5, RATE.size)
    device = Trace(SECONDS + 4 + ahead_s, np.round(RATE + noise))
    return Pair(Trace(SECONDS, RATE), device, reference, entry, {}, {}, Alignment(), 10)


def test_local_files_that_agree_put_their_zone_in_doubt_and_no_clock():
    """UTC by default on a bench two hours east of it; one device states UTC."""
    reference = strap(**LOCAL)
    certain = pair(recording("a"), -2 * HOUR, reference)
    local = pair(recording("b", **LOCAL), 0, reference, seed=3)
    decision, other = decide_all([certain, local])
    assert decision.zone_in_doubt == (
        "The files of Chest strap and b give times without a zone, 2 h ahead of that of a, which "
        "states UTC: is time_zone: UTC in config/settings.yaml right?"
    )
    assert decision.reason.startswith(decision.zone_in_doubt)
    assert "wrong" not in decision.reason
    assert decision.offset_s == 2 * HOUR
    assert other.zone_in_doubt == ""


@pytest.mark.parametrize(("hours", "how"), [(2, "2 h ahead of"), (-1, "1 h behind")])
def test_one_local_file_is_asked_for_its_own_zone(hours, how):
    decision = decide_all([pair(recording("a", **LOCAL), hours * HOUR, strap())])[0]
    assert f"The file of a gives times without a zone, {how} that of Chest" in decision.reason
    assert "write clock: {time_zone: Europe/London}, with its own zone" in decision.zone_in_doubt


@pytest.mark.parametrize("facts", [{}, LOCAL])
def test_files_of_one_kind_have_no_zone_in_doubt(facts):
    decision = decide_all([pair(recording("a", **facts), HOUR, strap(**facts))])[0]
    assert decision.zone_in_doubt == ""
    assert "wrong by +1 h" in decision.reason


def test_what_is_no_quarter_of_an_hour_is_no_zone():
    decision = decide_all([pair(recording("a", **LOCAL), -60, strap())])[0]
    assert (decision.decision, decision.zone_in_doubt) == ("estimated", "")


def test_where_no_heart_rate_tells_the_hint_is_the_zone_too():
    flat = Trace(SECONDS + 2 * HOUR, np.full(SECONDS.size, 90.0))
    entries = strap(), recording("a", **LOCAL)
    reason = decide(Pair(Trace(SECONDS, RATE), flat, *entries, {}, {}, Alignment(), 10)).reason
    assert "Shifted by −2 h they would: is time_zone: UTC right for a, which states" in reason
    assert "offset_s" not in reason
