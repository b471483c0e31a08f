"""What a title says of a device in a session, and what is said aloud of when it was off."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from strapline.ground.vocabulary import Fault
from strapline.ground.words import clock, lasting, number, reading, times
from strapline.method.episodes.course_sentences import LATE_S, LOWER, all_along, grown, where
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.event_sentences import mostly
from strapline.method.episodes.kinds import kind
from strapline.method.episodes.told import Told, weight

MOST_IN_TITLE = 2
# Of what weighs most: what weighs less is left to the text.
LEAST_PART = 0.1
# A maximum so far above the strap's is what a viewer remembers.
FAR_ABOVE_BPM = 10.0
OPEN = " (sensor or clock)"


def in_title(told: Told) -> str:
    """'read up to 52 bpm low from 3:00 to 13:00 and peaked at 171, the strap at 150': what weighs
    most, and by how much it was off."""
    things = [f"{_titled(told, own)}{_size(own)}" for own in _heaviest(told)]
    found = [*things[:1], *_peaked(told), *_jumps(told), *things[1:]][:MOST_IN_TITLE]
    return ", and ".join(found) or _track(told)


def in_short_title(told: Told) -> str:
    """The first of it alone."""
    things = [*(_titled(told, own) for own in _heaviest(told)), *_jumps(told), *_peaked(told)]
    return things[0] if things else _track(told)


def together(titles: Sequence[str]) -> str:
    """Those of several devices, with what is left open said once."""
    last = max((place for place, title in enumerate(titles) if OPEN in title), default=0)
    return "; ".join(
        title if place == last else title.replace(OPEN, "") for place, title in enumerate(titles)
    )


def when(told: Told, but_late: bool = False) -> Iterator[str]:
    """A sentence for each way in which it was off, the heaviest first; `but_late`: how late it was
    is said elsewhere."""
    for own in _heaviest(told):
        late = own[0].kind == Fault.SLOW_TO_FOLLOW
        if late and but_late:
            continue
        either = told.by_either if late else ""
        if len(own) == 1:
            yield f"It {span_in_title(told, own[0])}{either}{_size(own)}."
        else:
            total, worst = lasting(_total_s(own)), max(own, key=weight)
            which = "worst" if kind(worst.kind).has_error else "longest"
            yield (
                f"It {_did(own)} {times(len(own))}{either}, {total} in all{_size(own)}; the "
                f"{which} lasted from {clock(worst.start_s)} to {clock(worst.end_s)}."
            )
    yield from (f"It {jump}." for jump in _jumps(told))


def span_in_title(told: Told, span: Episode) -> str:
    """'read up to 52 bpm low from 3:00 to 13:00'."""
    if span.drifts:
        side = kind(span.kind).lane
        more = f"read {LOWER[side]} and {LOWER[side]} from {clock(int(span.drift_from_s))}"
        return f"{more}, {grown(span)[1]} bpm {side} at {clock(span.end_s)}"
    if told.throughout(span):
        return f"{_did([span])} {all_along(told)}"
    return f"{_did([span])} from {clock(span.start_s)} to {clock(span.end_s)}"


def _heaviest(told: Told) -> list[tuple[Episode, ...]]:
    """The spans of each kind, as far as they weigh beside those that weigh most."""
    by_kind: dict[str, list[Episode]] = {}
    for span in told.spans:
        if span.kind != Fault.SPIKE and not any(each.grows_past(span) for each in told.spans):
            by_kind.setdefault(span.kind, []).append(span)
    weights = {key: sum(map(weight, own)) for key, own in by_kind.items()}
    least = LEAST_PART * max(weights.values(), default=0.0)
    ordered = sorted(weights, key=lambda key: -weights[key])
    return [tuple(by_kind[key]) for key in ordered if weights[key] >= least]


def _titled(told: Told, own: tuple[Episode, ...]) -> str:
    if told.mostly and told.mostly.kind == own[0].kind:
        return f"read {mostly(told, told.mostly)}"
    did = f"{_did(own)} for {lasting(_total_s(own))}"
    did = span_in_title(told, own[0]) if len(own) == 1 else did
    return did + (OPEN if told.by_either and own[0].kind == Fault.SLOW_TO_FOLLOW else "")


def _total_s(own: Sequence[Episode]) -> int:
    return sum(span.duration_s for span in own)


def _did(own: Sequence[Episode]) -> str:
    if own[0].is_level:
        return f"read {_most(own)} {kind(own[0].kind).lane}"
    return kind(own[0].kind).did


def _size(own: Sequence[Episode]) -> str:
    """Of what is no level: that has it in its words."""
    has_none = own[0].is_level or not kind(own[0].kind).has_error
    return "" if has_none else f", {_most(own)} off"


def _most(own: Sequence[Episode]) -> str:
    """'up to 52 bpm', '45 bpm' of what was so throughout: one measure for faults of all kinds, for
    one stands beside the other."""
    most = number(max(abs(span.peak_error_bpm) for span in own), decimals=0)
    least = number(min(abs(span.mean_error_bpm) for span in own), decimals=0)
    return f"{most} bpm" if least == most else f"up to {most} bpm"


def _jumps(told: Told) -> list[str]:
    """'jumped twice, to 204 bpm at 5:00', 'dropped by 40 bpm at 8:00'."""
    up, down = told.spikes
    found = [("jumped", "to", [(one.highest_bpm, one.start_s) for one in up])]
    found += [("dropped", "by", [(round(-one.peak_error_bpm), one.start_s) for one in down])]
    return [
        f"{did}{f' {times(len(jumps))},' if jumps[1:] else ''} {by} {reading(max(jumps)[0])} bpm "
        f"at {clock(max(jumps)[1])}"
        for did, by, jumps in found
        if jumps
    ]


def _peaked(told: Told) -> Iterator[str]:
    top, strap = told.course["maximum_device_bpm"], told.course["maximum_reference_bpm"]
    everywhere = told.mostly or any(map(told.throughout, told.spans))
    if top - strap >= FAR_ABOVE_BPM and not everywhere and not told.spikes[0]:
        yield f"peaked at {reading(top)}, the strap at {reading(strap)}"


def _track(told: Told) -> str:
    delay_s = told.course["delay_s"]
    if not abs(delay_s) >= LATE_S:
        return f"followed the strap {where(told)}"
    side = "late" if delay_s > 0 else "early"
    open_ = OPEN if told.by_either else ""
    return f"was {number(abs(delay_s), decimals=0)} s {side} {where(told)}{open_}"
