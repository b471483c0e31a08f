"""Before any figure: whether a session counts, and what to do differently next time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from strapline.ground.records.alignment import ClockDecision, SessionAlignment, set_aside
from strapline.ground.records.card import FILE_NAME
from strapline.ground.records.intake import RecordingIntake, SessionIntake, is_unknown
from strapline.ground.records.marks import unmarked
from strapline.ground.vocabulary import UNSTATED, Clocks, Decision, NoticeKind, Placement, Status
from strapline.ground.words import clock as clock_of
from strapline.ground.words import lasting, listed, plain, shift
from strapline.method.agreement.votes import FEWEST_VOTING_S
from strapline.method.claims.advice import FIRMWARE, REMEMBER, Advice, sentences

if TYPE_CHECKING:
    from strapline.ground.records.ledger import RecordingLedger, SessionLedger, Tally

# Choices of ours, but for the minutes: intermittent activity of 15 to 20 minutes or more is what
# Mühlen et al. 2021, Br J Sports Med, doi 10.1136/bjsports-2020-103148, ask for.
FEWEST_MINUTES = 15
SMALLEST_PART = 0.75
LARGEST_GAPS = 0.1
LARGEST_DOUBT = 0.05
SPARSE_S = 2.5

APART = {Status.BEFORE_RECORDING, Status.AFTER_RECORDING}
# Left out for what the strap did.
OF_STRAP = {
    Status.NO_REFERENCE,
    Status.REFERENCE_FLAT,
    Status.REFERENCE_STEP,
    Status.REFERENCE_ARTEFACTS,
    Status.REFERENCE_SETTLING,
    Status.REFERENCE_ALONE,
}

EVERY_SECOND = "Let a device record every second if it can (fewer values are no fault)"


@dataclass(frozen=True)
class Usability:
    """`told`: which devices were compared; `against`: why the session does not count, if it does
    not; each thing to do differently; `whole`: whether all were compared for most of the time."""

    told: str
    against: str | None
    advice: tuple[Advice, ...]
    whole: bool

    @property
    def answer(self) -> str:
        """To whether it is usable."""
        said = "no" if self.against else "yes" if self.whole else "partly"
        return f"Usable: {said}. {self.against or self.told}"

    def to_do(self, in_card: bool) -> list[str]:
        """What to write into the card, or what to do otherwise."""
        return sentences(each for each in self.advice if each.is_for_card == in_card)

    @property
    def verdict(self) -> str:
        return f"Does not count. {self.against}" if self.against else self.told


def usability(
    intake: SessionIntake, alignment: SessionAlignment, ledger: SessionLedger
) -> Usability:
    """What the tester should know at once, while the session can still be repeated."""
    seconds = {c.recording: c.seconds for c in ledger.comparisons if c.alignment == Clocks.SETTLED}
    recorded = {r.recording: r for r in ledger.recordings}
    reasons = {c.recording: c.reason for c in alignment.clocks}
    copies = {c.recording for c in alignment.clocks if c.decision == Decision.COPY}
    broken = {n.recording for n in intake.notices if n.kind == NoticeKind.BROKEN_OFF}
    told, reason = _compared(intake, seconds), set_aside(intake, alignment)
    nothing = f"No device could be compared for {lasting(FEWEST_VOTING_S)}." if not told else None
    return Usability(
        told,
        plain(reason) if reason is not None else nothing,
        (
            *_noticed(intake, NoticeKind.BROKEN_OFF, " Export it again."),
            *_of_strap(alignment),
            *_of_alone(alignment),
            *_of_length(seconds),
            *(
                sentence
                for entry in intake.tested
                for sentence in _of_device(entry, seconds, recorded, reasons, copies, broken)
            ),
            *_noticed(intake, NoticeKind.CLOCK),
            *_of_clocks(intake, alignment),
            *_of_card(intake),
        ),
        all(map(_is_whole, (seconds.get(entry.recording) for entry in intake.tested))),
    )


def _is_whole(tally: Tally | None) -> bool:
    return tally is not None and tally.used >= max(SMALLEST_PART * tally.total, FEWEST_VOTING_S)


def _compared(intake: SessionIntake, seconds: dict[str, Tally]) -> str:
    """Which devices were, or only state figures; '' for none."""
    usable, partly, useless = [], [], []
    for entry in intake.tested:
        name, tally = plain(entry.label), seconds.get(entry.recording)
        if tally is None or tally.used < FEWEST_VOTING_S:
            useless.append(name)
        elif not _is_whole(tally):
            partly.append(f"{name} for {100 * tally.used / tally.total:.0f} % of the time")
        else:
            usable.append(name)
    alone = [plain(unmarked(entry.label)) for entry in intake.stated_alone]
    stated = f"Of {listed(alone)} there is only what the app states." if alone else ""
    if not usable and not partly:
        return stated
    rest = f"; {listed(useless)} could not be" if useless else ""
    told = f"{listed(usable)} {'were' if usable[1:] else 'was'} compared with the strap"
    told = ", ".join([told, *partly]) if usable else f"Compared with the strap: {listed(partly)}"
    told = f"{told}{rest}."
    return f"{told} {stated}".rstrip()


def _noticed(intake: SessionIntake, kind: NoticeKind, then: str = "") -> Iterator[Advice]:
    """What intake noticed of recordings."""
    labels = {entry.recording: plain(entry.label) for entry in intake.recordings}
    for notice in intake.notices:
        if notice.kind == kind and notice.recording in labels:
            yield Advice(f"{labels[notice.recording]}: {notice.text}{then}")


def _of_strap(alignment: SessionAlignment) -> Iterator[Advice]:
    verdict = alignment.verdict
    if verdict and verdict.share > LARGEST_DOUBT:
        yield Advice(
            f"The strap is missing or in doubt for {100 * verdict.share:.0f} % of the time. Wet "
            "its electrodes, wear it tighter, and wait until its reading is steady."
        )


def _of_alone(alignment: SessionAlignment) -> Iterator[Advice]:
    """Where devices agree and the strap alone is elsewhere, it is asked what happened to it."""
    for one in alignment.alone:
        side = "below" if one.away_bpm > 0 else "above"
        start, end = clock_of(one.start_s), clock_of(one.end_s)
        told = (
            f"From {start} to {end} the strap read {abs(one.away_bpm):.0f} bpm {side} the devices, "
            "which agree with each other"
        )
        if one.doubted:
            yield Advice(f"{told}. Its own signal is broken there too, so that is not compared.")
            continue
        yield Advice(
            f"{told}. If it had slipped or was dry, leave that out: under exclude in {FILE_NAME}, "
            f'from: "{start}", to: "{end}" and the reason.'
        )


def _of_length(seconds: dict[str, Tally]) -> Iterator[Advice]:
    longest = max((tally.total for tally in seconds.values()), default=0) / 60
    if 0 < longest < FEWEST_MINUTES:
        yield Advice(
            f"The session lasts {longest:.0f} minutes. Record {FEWEST_MINUTES} or more "
            "(Mühlen et al. 2021).",
            once="length",
        )


def _of_device(
    entry: RecordingIntake,
    seconds: dict[str, Tally],
    recorded: dict[str, RecordingLedger],
    reasons: dict[str, str],
    copies: set[str],
    broken: set[str | None],
) -> Iterator[Advice]:
    name, tally = plain(entry.label), seconds.get(entry.recording)
    if entry.recording in copies:
        yield Advice(
            f"{name} reads the same as the strap nearly throughout, so it seems to have recorded "
            "the strap’s signal. Unpair it from the strap, and switch off the strap’s broadcast; "
            f"if it used its own sensor, state own_sensor: true in {FILE_NAME}."
        )
        return
    if tally is None or not tally.total:
        return
    own = recorded[entry.recording]
    before = tally.left_out.get(Status.BEFORE_RECORDING, 0)
    # What a file that breaks off lacks at its end is no fault of how it was recorded.
    is_broken = entry.recording in broken
    after = 0 if is_broken else tally.left_out.get(Status.AFTER_RECORDING, 0)
    missing = tally.left_out.get(Status.NO_DEVICE, 0) / tally.total
    if own.samples.total and _share_no_second(tally):
        yield Advice(f"{name}: {reasons[entry.recording]}")
        return
    if own.usual_s > SPARSE_S and entry.resolution is None:
        yield Advice(
            f"{name} usually has one every {own.usual_s:.0f} s",
            once=f"sparse {entry.device}",
            lead=EVERY_SECOND,
        )
    if (before + after) / tally.total > LARGEST_GAPS:
        times = {"began {} late": before, "ended {} early": after}
        told = [words.format(lasting(time_s)) for words, time_s in times.items() if time_s]
        yield Advice(
            f"{name}’s recording {listed(told)}. Start and stop it with the strap; if you did, "
            "export it again."
        )
    if missing > LARGEST_GAPS:
        yield Advice(
            f"{name} has no value for {100 * missing:.0f} % of the time. Wear it as its maker "
            "says, and check that it shows a reading."
        )


def _share_no_second(tally: Tally) -> bool:
    """Whether the device and the strap recorded at other times, as far as can be told."""
    why = {s for s, count in tally.left_out.items() if count and not s.startswith(Status.EXCLUDED)}
    return not tally.used and bool(why & APART) and not why - APART - OF_STRAP


def _of_clocks(intake: SessionIntake, alignment: SessionAlignment) -> Iterator[Advice]:
    """Clocks that were moved, and what makes that permanent. One that is left as recorded calls for
    nothing: most are right."""
    labels = {entry.recording: plain(entry.label) for entry in intake.recordings}
    for clock in alignment.clocks:
        if clock.apart and clock.decision != Decision.STATED:
            yield Advice(f"{labels[clock.recording]}: {clock.apart}")
        jumps = clock.pieces and clock.decision != Decision.STATED
        begun = clock.assumed_start and clock.moves and clock.decision != Decision.STATED
        if clock.decision == Decision.STEPPING or jumps or begun:
            yield Advice(f"{labels[clock.recording]}: {clock.reason}")
        elif clock.zone_in_doubt:
            yield Advice(clock.zone_in_doubt)
        elif clock.decision in (Decision.CHANNELS, Decision.ESTIMATED) and clock.moves:
            yield Advice(f"{labels[clock.recording]}'s clock {_set_right(clock)}")


def _set_right(clock: ClockDecision) -> str:
    """By how much, and what the card may say of it: no drift, and of what only heart rate tells no
    more than about how much, for a sensor's delay may be in it."""
    if clock.drift_per_hour_s:
        return (
            f"drifts by {shift(clock.drift_per_hour_s)} an hour and was set right for that. Set it "
            "before each session; no line in the card can do that."
        )
    side = "behind" if clock.offset_s > 0 else "ahead"
    by = f"was {abs(clock.offset_s):g} s {side} and was set right"
    if clock.decision == Decision.CHANNELS:
        return f"{by}. Set it, or state offset_s: {clock.offset_s:g} under clock in {FILE_NAME}."
    if clock.gross_shift_s:
        return (
            f"{by}. Set it, or state offset_s: {clock.gross_shift_s:g} and about: true under clock "
            f"in {FILE_NAME}."
        )
    return (
        f"{by}, by heart rate alone, so no claim rests on it. Set it before the next session; if "
        f"you know that it was wrong by about that, state offset_s: {clock.offset_s:g} and about: "
        f"true under clock in {FILE_NAME}."
    )


def _of_card(intake: SessionIntake) -> Iterator[Advice]:
    """What only the tester knows; it can still be written today. Where the session does not count,
    devices wait for that to be mended, for one may be misspelt; and all does where there is a card,
    for it may say so in what cannot be read."""
    if intake.set_aside is not None and intake.card_sha256:
        return
    tested = intake.tested if intake.set_aside is None else ()
    unplaced = [plain(entry.label) for entry in tested if entry.placement == Placement.OTHER]
    begun = [plain(entry.label) for entry in intake.with_open_start if intake.set_aside is None]
    lead = f"{REMEMBER}, {_how_to_say(intake)}"
    facts = {
        "the wearer": intake.wearer == UNSTATED,
        "the activity": intake.activity == UNSTATED,
        f"where {listed(unplaced)} {'were' if unplaced[1:] else 'was'} worn": bool(unplaced),
        f"when {listed(begun)} began, to the second (starts_at under clock)": bool(begun),
    }
    yield from (Advice(fact, lead=lead) for fact, unknown in facts.items() if unknown)
    for entry in tested:
        # Of one that has no name yet, the name is asked for first.
        if entry.firmware is None and not is_unknown(entry.device):
            what = f"{FIRMWARE}{plain(entry.label)}"
            yield Advice(what, once=f"firmware {entry.device}", lead=lead)


def _how_to_say(intake: SessionIntake) -> str:
    """In the card, or by the command that writes one."""
    if intake.card_sha256:
        return f"add to {FILE_NAME}"
    return f"type `strapline card {intake.session}` and say"
