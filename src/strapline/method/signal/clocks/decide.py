"""A device's clock: the first evidence that decides it, or left as recorded.

From heart rate alone a sensor that is late and a clock that is wrong look alike. So a clock is
moved on evidence only; what is left between the two is the device's delay, a finding.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence

import numpy as np

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.records.card import LARGEST_OFFSET_S
from strapline.ground.vocabulary import Decision
from strapline.method.signal.clocks.by_bench import SURE, by_bench, settled_by
from strapline.method.signal.clocks.by_card import by_card
from strapline.method.signal.clocks.by_channels import by_channels, why_not
from strapline.method.signal.clocks.by_files import by_one_file, by_satellites
from strapline.method.signal.clocks.by_heart_rate import by_heart_rate
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.clocks.quarters import QUARTER_HOUR_S, spoken
from strapline.method.signal.clocks.time_zones import in_doubt, with_zone_doubts
from strapline.method.signal.stamps import Placed, placed

UNSURE = (Decision.REFUSED, Decision.ESTIMATED)

Evidence = Callable[[Pair], ClockDecision | None]

# In this order; the first that decides is applied. Between the last two stands what other devices
# of the session tell.
EVIDENCE: tuple[Evidence, ...] = (
    by_card,
    by_one_file,
    by_channels,
    by_satellites,
    by_heart_rate,
)


def settle_all(pairs: Sequence[Pair]) -> list[tuple[Pair, ClockDecision]]:
    """The devices of a session, each report in the time that it stands for, with what is done with
    their clocks then."""
    as_stamped = decide_all(pairs)
    found = []
    for pair, clock in zip(pairs, as_stamped, strict=True):
        is_settled = clock.decision in (*SURE, Decision.BENCH)
        offset_s = clock.offsets(pair.device.time_s) if is_settled else clock.gross_shift_s
        found.append(placed(pair, offset_s, is_settled))
    are_moved = any(one.shift_s for one in found)
    decided = decide_all([one.pair for one in found]) if are_moved else as_stamped
    return [(one.pair, _with_stamps(clock, one)) for one, clock in zip(found, decided, strict=True)]


def _with_stamps(clock: ClockDecision, found: Placed) -> ClockDecision:
    reason = f"{clock.reason} {found.said}".strip()
    return clock.model_copy(update={"reason": reason, "stamp_shift_s": found.shift_s})


def decide_all(pairs: Sequence[Pair]) -> list[ClockDecision]:
    """As `decide` for each device of a session; those that nothing of their own settles go by
    another that has its time from the same source."""
    decisions = [decide(pair) for pair in pairs]
    settled = settled_by(pairs, decisions)
    decided = [
        _with_fit(found, pair)
        if decision.decision in UNSURE and (found := by_bench(pair, settled))
        else decision
        for pair, decision in zip(pairs, decisions, strict=True)
    ]
    return with_zone_doubts(pairs, decided)


def decide(pair: Pair) -> ClockDecision:
    """What is done with the device's clock, why, and where the heart rates would put it."""
    return _with_fit(by_evidence(pair), pair)


def by_evidence(pair: Pair) -> ClockDecision:
    """What is done with it, and why, without that."""
    return next((found for one in EVIDENCE if (found := one(pair))), None) or _left(pair)


def copied(pair: Pair) -> ClockDecision:
    """For a recording that is the reference's own signal."""
    why = (
        f"It reads the same as the reference nearly throughout, so {pair.entry.recording} seems to "
        "have recorded the strap's signal, and is no evidence. Unpair strap and device before the "
        "next session; if it used its own sensor, state own_sensor: true in the session card."
    )
    return pair.decided(Decision.COPY, why)


def _left(pair: Pair) -> ClockDecision:
    """The clock as recorded, with what stands in the way of more."""
    if pair.device.time_s.size == 0:
        why = "None of its readings can be used."
    elif pair.reference.time_s.size == 0:
        why = "No reading of the strap is believed, so nothing tells whether the clock is right."
    elif not pair.shares_time:
        why = _apart(pair)
    elif pair.too_seldom_s is not None:
        why = (
            f"Reports come only every {pair.too_seldom_s:.0f} s, too seldom to tell the clock by; "
            "it is left as recorded."
        )
    else:
        other = why_not(pair)
        why = (
            f"{f'{other}, so nothing' if other else 'Nothing'} but heart rate tells whether its "
            "clock is right, and heart rate cannot: a late sensor and a wrong clock look alike. "
            "The clock is left as recorded."
        )
        if pair.entry.unread or pair.reference_entry.unread:
            why += (
                " But columns were left unread, for their headings are not known; if one is speed, "
                "cadence or power, `strapline headings` says where to write that."
            )
    return pair.decided(Decision.REFUSED, why)


def _with_fit(decision: ClockDecision, pair: Pair) -> ClockDecision:
    """With the offset at which the heart rates agree best, near the one that was decided."""
    at_s = decision.offset_s
    offsets = decision.offsets(pair.device.time_s)
    found = pair.searched(offsets) if offsets.any() else pair.as_recorded
    if found is None:
        return decision
    return decision.model_copy(
        update={
            "estimate_s": round(at_s + found.offset_s, 1),
            "low_s": round(at_s + found.low_s, 1),
            "high_s": round(at_s + found.high_s, 1),
            "closeness": round(found.closeness, 4),
            "lead": round(found.lead, 4),
            "estimate_accepted": pair.demands.met_by(found),
        }
    )


def _apart(pair: Pair) -> str:
    """That the two recordings share no time, with the shift that would mend it."""
    ours, theirs = pair.reference.time_s, pair.device.time_s
    quarters = round((ours[0] - theirs[0]) / QUARTER_HOUR_S)
    shift = quarters * QUARTER_HOUR_S
    near = abs(ours[0] - theirs[0] - shift) <= QUARTER_HOUR_S / 3
    hint = (
        f" Its clock looks wrong by {abs(quarters) * 15} min: if so, state clock.offset_s: "
        f"{shift} in the session card."
        if near
        else ""
    )
    local = in_doubt(pair.reference_entry, pair.entry)
    if near and local is not None:
        hint = (
            f" Shifted by {spoken(shift)} they would: is time_zone: "
            f"{local.clock_note.time_zone or 'UTC'} right for {local.label}, which states none?"
        )
    if abs(shift) > LARGEST_OFFSET_S:
        hint = " If they are of one session, state clock.starts_at for the one that is wrong."
    return (
        f"The recordings share no time: the device's runs {_span(theirs)}, the reference's "
        f"{_span(ours)}.{hint}"
    )


def _span(time_s: np.ndarray) -> str:
    first, last = (dt.datetime.fromtimestamp(float(t), dt.UTC) for t in (time_s[0], time_s[-1]))
    return f"{first:%Y-%m-%d %H:%M}–{last:%H:%M} UTC"
