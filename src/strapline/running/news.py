"""What a run changed in its sessions: new ones, other exports, another card, another verdict."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from strapline.ground.files import read_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import RecordingIntake, SessionIntake, is_unknown, read_intake
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.tables.sessions import COURSES, EPISODES, SENTENCES
from strapline.ground.vocabulary import Decision, FileClock
from strapline.ground.words import listed, plain
from strapline.method.claims.advice import Advice, sentences
from strapline.method.claims.usable import usability
from strapline.method.episodes.headline import together
from strapline.reading.inbox.discovery import SessionFolder
from strapline.running.first_day import SET_ZONE, is_unset
from strapline.running.own import Own
from strapline.running.taken import Taken
from strapline.running.told import Said, Told

UNCHANGED = ""
NEW, EXPORTS, CARD, VERDICT = "new", "with other exports", "with another card", "judged otherwise"
KINDS = (NEW, EXPORTS, CARD, VERDICT)


@dataclass(frozen=True)
class News:
    """`kind`: one of KINDS, or UNCHANGED; `said`: what is told now and noted; `against`: why the
    session does not count, if it does not; `before`: what was told of it before; `is_judged_so`:
    whether the verdict is that of before, whatever devices are called now; `folder`: where its
    results are; `copies`: why recordings are taken for the strap's, which the advice tells."""

    session: str
    kind: str
    said: Said
    advice: tuple[Advice, ...]
    against: str | None
    before: Said | None = None
    is_judged_so: bool = False
    folder: Path = Path()
    copies: tuple[str, ...] = ()

    def lines(self, known: Collection[str] = ()) -> list[str]:
        """The verdict, and below it what to do, without what is `known` for the whole bench."""
        how = f" ({self.kind})" if self.kind not in (NEW, UNCHANGED) else ""
        given = self.before.advice if self.before else ()
        own = (
            each
            for each in self.advice
            if not (each.once and each.once in known) and each.text not in given
        )
        verdict = (
            "still counts; its figures were computed again."
            if self.is_judged_so and self.counts
            else self.said.verdict
        )
        return [f"{self.session}{how}: {verdict}", *self._faults(), *sentences(own)]

    def _faults(self) -> Iterator[str]:
        """What went wrong in new exports, in the words of its page."""
        if not (self.kind in (NEW, EXPORTS) and self.counts):
            return
        said, found = (self.folder / f"{name}.parquet" for name in ("sentences", "episodes"))
        if said.exists() and found.exists():
            rows = SENTENCES.read(said, form=["title"])
            faulty = {*EPISODES.read(found)["recording"].map(str)}
            titles = rows.loc[rows["recording"].map(str).isin(faulty), "text"]
            yield from [f"{together([*map(plain, titles)])}."] if len(titles) else []

    @property
    def renamed(self) -> set[tuple[str, str]]:
        """What devices were called, and are called now, where that is not the same."""
        labels = self.before.labels if self.before else {}
        both = labels.keys() & self.said.labels.keys()
        pairs = {(labels[each], self.said.labels[each]) for each in both}
        return {(then, now) for then, now in pairs if then != now}

    @property
    def counts(self) -> bool:
        return self.against is None

    @property
    def order(self) -> tuple[bool, bool, float, str, str]:
        """What is new comes first; of that, what does not count, then what was furthest from the
        strap."""
        error = -self._error_bpm() if self.kind else 0.0
        return self.kind != NEW, self.counts, error, self.kind, self.session

    def _error_bpm(self) -> float:
        """Of the device that was furthest off."""
        courses = self.folder / "courses.parquet"
        errors = COURSES.read(courses)["error_bpm"].dropna() if courses.exists() else ()
        return max([0.0, *map(float, errors)])


def untold(taken: Taken, told: Told) -> list[str]:
    """The sessions of which nothing was told yet, or another card or other exports: a run that
    failed may have computed them, and no later one does."""
    return [name for name in taken.inbox.sessions if _is_untold(name, taken, told)]


def _is_untold(session: str, taken: Taken, told: Told) -> bool:
    said = told.sessions.get(session)
    return said is None or is_told_otherwise(said, taken.inbox.sessions[session], taken)


def is_told_otherwise(said: Said, there: SessionFolder, taken: Taken) -> bool:
    """Whether the session's card, or one of its exports, is another than was told of."""
    card = taken.contents[there.card] if there.card else None
    exports = {taken.contents[path] for path in there.exports}
    return card != said.card or not exports >= {*said.exports} - {""}


def news(own: Own, looked_at: Sequence[str], told: Told) -> list[News]:
    """Of these sessions, the most useful first; new is what was not told of before."""
    folders = [own.places.results / "sessions" / name for name in looked_at]
    whole = [folder for folder in folders if (folder / "ledger.json").exists()]
    found = (_of_session(folder, own, told) for folder in whole)
    return sorted(found, key=lambda each: each.order)


def entries_of(found: Sequence[News], known: Collection[str] = ()) -> list[list[str]]:
    """What is told of sessions; advice for the whole bench once, and not what is `known`."""
    told, entries = set(known), []
    for each in found:
        entries.append(each.lines(told))
        told |= {own.once for own in each.advice}
    return entries


def _of_session(folder: Path, own: Own, told: Told) -> News:
    intake = read_intake(folder / "intake.json")
    clocks = read_model(folder / "alignment.json", SessionAlignment)
    ledger = read_model(folder / "ledger.json", SessionLedger)
    found = usability(intake, clocks, ledger)
    # What is set aside changes nothing, and is told as that.
    used = [entry for entry in intake.recordings if entry.set_aside is None]
    exports = tuple(sorted({entry.sha256 for entry in used or intake.recordings}))
    advice = tuple(_in_order(intake, found.advice, own))
    said = Said(
        exports=exports,
        card=intake.card_sha256,
        verdict=found.verdict,
        advice=tuple(each.text for each in advice),
        labels={_stream(entry): plain(entry.label) for entry in intake.recordings},
    )
    before = told.sessions.get(folder.name)
    as_called = usability(_called(intake, before.labels), clocks, ledger) if before else found
    is_judged_so = before is not None and as_called.verdict == before.verdict
    kind = _kind(said, before, is_judged_so)
    copies = tuple(c.reason for c in clocks.clocks if c.decision == Decision.COPY)
    against = found.against
    return News(folder.name, kind, said, advice, against, before, is_judged_so, folder, copies)


def _stream(entry: RecordingIntake) -> str:
    return f"{entry.sha256}.{entry.stream}"


def _called(intake: SessionIntake, labels: Mapping[str, str]) -> SessionIntake:
    """With devices called as they were."""
    entries = (
        entry.model_copy(update={"label": labels.get(_stream(entry), entry.label)})
        for entry in intake.recordings
    )
    return intake.model_copy(update={"recordings": tuple(entries)})


def _kind(now: Said, before: Said | None, is_judged_so: bool) -> str:
    if before is None:
        return NEW
    # Another card may have other files of the same folder used.
    if now.exports != before.exports and now.files != before.files:
        return EXPORTS
    if now.card != before.card:
        return CARD
    return UNCHANGED if is_judged_so else VERDICT


def _in_order(intake: SessionIntake, found: Sequence[Advice], own: Own) -> Iterator[Advice]:
    """As it is best done: all that follows names devices, and a zone decides what shares time. What
    is for the card comes last."""
    nameless = list(_nameless(intake))
    yield from nameless
    yield from _of_zone(intake, own.settings.clock.time_zone)
    yield from (each for each in found if not each.is_for_card)
    yield from _unregistered(intake, own.register.devices)
    yield from (each for each in found if each.is_for_card and not nameless)


def _of_zone(intake: SessionIntake, zone: str) -> Iterator[Advice]:
    """Local times, where the settings have the zone that they came with."""
    local = [
        plain(entry.label)
        for entry in intake.recordings
        if entry.clock == FileClock.LOCAL and entry.clock_note.time_zone == zone
    ]
    if local and is_unset(zone):
        yield Advice(
            f"{listed(local)} {'has' if len(local) == 1 else 'have'} times without a zone, read as "
            f"{zone}, as config/settings.yaml came. {SET_ZONE}",
            once="time zone",
        )


def _nameless(intake: SessionIntake) -> Iterator[Advice]:
    """Which files are from devices that nobody names: pages do not say what a file is called."""
    usable = [entry for entry in intake.recordings if entry.set_aside is None]
    files = [f"{e.label} is {plain(e.file)}" for e in usable if is_unknown(e.device)]
    if files:
        yield Advice(f"{listed(files)}. To name them: strapline devices --write")


def _unregistered(intake: SessionIntake, devices: Collection[str]) -> Iterator[Advice]:
    """Devices that only the card names: pages call them by that, and no plan has them. In a session
    that does not count one may be misspelt."""
    for entry in intake.recordings if intake.set_aside is None else ():
        if entry.device not in devices and not is_unknown(entry.device):
            yield Advice(
                f"{plain(entry.label)} is not in config/devices.yaml. To write it there: "
                "strapline devices --write",
                once=f"unregistered {entry.device}",
            )
