"""Two files of one device whose clocks come out apart."""

import pytest

from intakes import recording as entry
from strapline.ground.records.alignment import ClockDecision
from strapline.ground.vocabulary import Decision
from strapline.method.signal.one_device import told_apart


def told(offsets, devices, decision=Decision.ESTIMATED, units=(None, None, None)):
    files = [
        entry(recording=f"r{n}", device=device, label="Watch", unit=unit)
        for n, (device, unit) in enumerate(zip(devices, units, strict=False))
    ]
    decisions = [
        ClockDecision(recording=f"r{n}", offset_s=offset, decision=decision, reason="So.")
        for n, offset in enumerate(offsets, 1)
    ]
    return [each.reason for each in told_apart(files[0], files[1:], decisions)]


def test_a_second_file_of_one_device_is_told_by_how_much_it_is_apart():
    first, second = told([1.0, 3.7], ["strap", "watch", "watch"])
    assert first == "So."
    assert second.startswith("So. It comes out 2.7 s apart from r1, another file of Watch")


@pytest.mark.parametrize(("offset_s", "asks"), [(2.7, False), (28.0, True)])
def test_the_tester_is_told_in_the_closing_lines_of_what_a_clock_would_be_moved_by(offset_s, asks):
    files = [entry(recording=f"r{n}", device="strap", label="Strap") for n in (0, 1)]
    decision = ClockDecision(recording="r1", offset_s=offset_s, decision="estimated", reason="So.")
    (found,) = told_apart(files[0], files[1:], [decision])
    assert found.reason.endswith(found.apart) and bool(found.apart) == asks


def test_a_file_that_holds_no_serial_number_may_be_of_the_same_device():
    _, second = told([1.0, 3.7], ["strap", "watch", "watch"], units=(None, None, 1))
    assert "2.7 s apart from r1" in second


def test_what_a_clock_left_as_recorded_shows_counts_too():
    files = [entry(recording=f"r{n}", device="strap", label="Strap") for n in (0, 1)]
    decision = ClockDecision(
        recording="r1", offset_s=0.0, decision=Decision.REFUSED, reason="So.", estimate_s=2.7
    )
    for accepted in (True, False):
        found = decision.model_copy(update={"estimate_accepted": accepted})
        (said,) = told_apart(files[0], files[1:], [found])
        assert ("2.7 s apart from r0" in said.reason) == accepted


def test_the_reference_counts_as_a_file_too():
    (said,) = told([2.7], ["strap", "strap"])
    assert "2.7 s apart from r0" in said


@pytest.mark.parametrize(
    ("offsets", "devices", "decision", "units"),
    [
        ([1.0, 1.9], ["strap", "watch", "watch"], Decision.ESTIMATED, (None, None, None)),
        ([1.0, 3.7], ["strap", "watch", "band"], Decision.ESTIMATED, (None, None, None)),
        ([1.0, 3.7], ["strap", "watch", "watch"], Decision.ESTIMATED, (None, 1, 2)),
        ([0.0, 3.7], ["strap", "watch", "watch"], Decision.REFUSED, (None, None, None)),
    ],
)
def test_nothing_is_said_of_what_may_well_differ(offsets, devices, decision, units):
    assert told(offsets, devices, decision, units) == ["So."] * 2
