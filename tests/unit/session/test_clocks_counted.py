"""How many of a session's clocks could be aligned."""

from strapline.ground.records.alignment import ClockDecision, SessionAlignment


def test_a_clock_counts_as_aligned_or_as_left_and_a_copy_as_neither():
    decisions = ["estimated", "stated", "trusted", "refused", "refused", "copy"]
    clocks = [
        ClockDecision(recording=f"r-{place}", offset_s=0, decision=decision, reason="So.")
        for place, decision in enumerate(decisions)
    ]
    found = SessionAlignment(session="s", reference="strap", clocks=tuple(clocks))
    assert (found.clocks_aligned, found.clocks_left) == (3, 2)
