"""How many of a session's clocks could be aligned."""

from strapline.ground.records.alignment import ClockDecision, SessionAlignment


def test_a_clock_is_settled_by_something_else_than_heart_rate_and_a_copys_is_not_counted():
    card, decisions = "as the card says", ["estimated", "stated", "trusted", "refused", "copy"]
    clocks = [
        ClockDecision(
            recording=decision,
            offset_s=0,
            decision=decision,
            reason="So.",
            ground=card if decision in ("stated", "trusted") else "",
        )
        for decision in decisions
    ]
    found = SessionAlignment(session="s", reference="strap", clocks=tuple(clocks))
    assert (found.clocks_aligned, found.clocks_left) == (2, 2)
