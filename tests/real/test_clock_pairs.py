"""Two devices on one activity, recorded by others: pairs whose offset is known from channels other
than heart rate to about 1 s, or known not to be one. They are run from where they lie."""

from pathlib import Path

import numpy as np
import pytest

import intakes
from strapline.ground.records.alignment import ClockDecision
from strapline.ground.settings import Alignment, Plausibility, RrIntervals
from strapline.method.signal.clocks.decide import decide
from strapline.method.signal.clocks.pair import Pair, channels_of
from strapline.method.signal.copies import is_copy
from strapline.method.signal.normalised import normalise
from strapline.method.signal.trace import Trace
from strapline.reading.formats import read_export

GAP_S = 10.0


def recording(path: Path, name: str):
    export = read_export(path)
    entry = intakes.recording(name, clock=export.clock, satellite=export.satellite)
    found = normalise(export.samples, export.beats, entry, Plausibility(), RrIntervals())
    return entry, Trace.of(found.frame), channels_of(found.channels)


@pytest.fixture
def pair(real_recordings):
    def of(number: int, reference: str = "a") -> Pair:
        ours, theirs = (
            recording(real_recordings / f"pairs/pair{number}_{side}.fit", name)
            for side, name in zip((reference, *({"a", "b"} - {reference})), "ab", strict=True)
        )
        return Pair(ours[1], theirs[1], ours[0], theirs[0], ours[2], theirs[2], Alignment(), GAP_S)

    return of


def decided(pair: Pair) -> ClockDecision:
    return decide(pair)


@pytest.mark.parametrize(("reference", "sign"), [("a", -1), ("b", 1)])
def test_a_strap_told_twice_is_a_copy_once_its_clock_is_right(pair, reference, sign):
    """pair1: by power 26.0 s, by cadence 27.5 s; 96 % of seconds exactly equal."""
    both = pair(1, reference)
    found = decided(both)
    assert found.decision == "channels"
    assert found.offset_s == pytest.approx(sign * 26.5, abs=1.5)
    device = both.device.shifted(found.offset_s)
    assert is_copy(both.reference, device, GAP_S)
    assert not is_copy(both.reference, both.device, GAP_S)


@pytest.mark.parametrize(("reference", "sign"), [("a", 1), ("b", -1)])
def test_a_wrists_delay_is_no_clock_error(pair, reference, sign):
    """pair2: by power 3.8 s; by heart rate 12.1 to 12.8 s, of which the rest is the wrist's lag."""
    found = decided(pair(2, reference))
    assert found.decision == "channels"
    assert found.offset_s == pytest.approx(sign * 3.8, abs=1)
    assert found.estimate_s - found.offset_s == pytest.approx(sign * 8.5, abs=1.5)


@pytest.mark.parametrize(("reference", "sign"), [("a", 1), ("b", -1)])
def test_a_recorder_that_leaves_pauses_out_is_set_right_in_parts(pair, reference, sign):
    """pair3: steps from about 4 s to 70 s and beyond. The heart rates, which set neither part,
    put both where speed and cadence do; the first ten minutes, at another offset, are left out."""
    found = decided(pair(3, reference))
    assert found.decision == "channels"
    assert [piece.offset_s for piece in found.pieces] == pytest.approx(
        [sign * 70, sign * 119], abs=1.5
    )
    assert found.estimate_s == pytest.approx(found.offset_s, abs=1.5)
    first_s = pair(3, reference).device.time_s[0]
    assert np.isnan(found.offsets(first_s + np.arange(300))).all()


@pytest.mark.parametrize("number", [4, 5])
@pytest.mark.parametrize("reference", ["a", "b"])
def test_right_clocks_are_left(pair, number, reference):
    """pair4, pair5: by cadence 1.6 and 1.3 s, by speed 0.6 and 0.4 s; one side records only what
    changes."""
    found = decided(pair(number, reference))
    assert (found.decision, found.offset_s) == ("channels", 0)
