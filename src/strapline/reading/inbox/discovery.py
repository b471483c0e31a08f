"""What lies in the inbox, told within milliseconds a session."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from strapline.ground.records import card
from strapline.ground.settings import Settings
from strapline.ground.slugs import numbered
from strapline.reading.inbox.glance import Glance
from strapline.reading.inbox.loose import group_name, read_spans, together
from strapline.reading.inbox.names import Titled, named
from strapline.reading.inbox.no_exports import Heads, Kinds, told
from strapline.reading.inbox.note import NAME as NOTE
from strapline.reading.inbox.readable import HERE, LeftAlone, first_of, not_a_file, sorted_out

CARD_ENDINGS = (".yaml", ".yml")
OF_NO_SESSION = "is the card of no session; a session's folder has its own as session.yaml."


@dataclass(frozen=True)
class SessionFolder:
    """A session's safe name, the name it was given, its card if any, and its exports by name."""

    name: str
    title: str
    card: Path | None
    exports: tuple[Path, ...]

    @property
    def raw_files(self) -> list[Path]:
        """Its exports, and its card if any."""
        return [*self.exports, *filter(None, [self.card])]

    @cached_property
    def glance(self) -> Glance:
        return Glance(self.card)


@dataclass(frozen=True)
class Inbox:
    """The sessions, in order of name, a sentence for all that was left alone, the names of
    folders that wait for their files, as people call them and as they will be called, and those of
    folders without anything that could be an export."""

    sessions: dict[str, SessionFolder]
    left: tuple[LeftAlone, ...] = ()
    waiting: tuple[str, ...] = ()
    expected: frozenset[str] = frozenset()
    no_sessions: frozenset[str] = frozenset()

    @property
    def left_alone(self) -> tuple[str, ...]:
        """A sentence on each thing that belongs to no session, with its name."""
        return tuple(each.told for each in self.left)

    @property
    def raw_files(self) -> list[Path]:
        return [path for session in self.sessions.values() for path in session.raw_files]


def read_inbox(
    inbox: Path, settings: Settings, results: Path, being_copied: Collection[Path] = ()
) -> Inbox:
    """The inbox as it is now; an inbox that is not there yet is empty.

    Folders are sessions. Files directly in the inbox are grouped by the time they share, by the
    zone and the headings of the settings; what was read of them is kept among the `results`, which
    also say whose a name is that several would have. What is `being_copied` now is not read: its
    session waits. Pictures and the like are no exports.
    """
    if not inbox.is_dir():
        return Inbox({})
    entries, faults = sorted_out(inbox)
    left = list(faults.values())
    folders = [entry for entry in entries if entry.is_dir()]
    files = [Path(e.path) for e in entries if e.is_file() and e.name != NOTE]
    loose = [f for f in files if f.suffix not in CARD_ENDINGS and f not in being_copied]
    heads = Heads(inbox, results / "heads.json")
    loose, no_exports = heads.exports_among(loose)
    groups, unusable = _grouped(loose, inbox, settings, results / "loose.json")
    titled = [Titled(folder.name, Path(folder.path)) for folder in folders]
    titled += [Titled(title, loose=tuple(exports)) for title, exports in groups.items()]
    names, nameless = named(titled, results / "sessions")
    found, expected, without_exports = [], set(), []
    waiting = [_copied(file.name) for file in files if file in being_copied]
    cards = {inbox / f"{title}.yaml" for title in groups} & set(files)
    for each, name in names.items():
        if each.folder is None:
            card_path = inbox / f"{each.title}.yaml"
            stated = card_path if card_path in cards else None
            found.append(_of_files(name, each.title, list(each.loose), stated))
            continue
        session, unread, others = _read_folder(name, each.folder, heads)
        copied = [path.name for path in being_copied if each.folder in path.parents]
        if copied or (session and session.card and not session.exports and not unread):
            expected.add(name)
            waiting.append(f"{each.title}: {_copied(min(copied))}" if copied else each.title)
        elif session and not session.exports and not session.card and not unread:
            without_exports.append(each.title)
            continue
        elif session:
            found.append(session)
        no_exports.include(others)
        left += [fault.within(each.title) for fault in unread]
    heads.keep()
    left += [*told(without_exports, no_exports), *nameless.values(), *unusable]
    left += [
        LeftAlone.saying(f"{HERE} {OF_NO_SESSION}", file.name, "Something")
        for file in files
        if file.suffix in CARD_ENDINGS and file not in cards
    ]
    by_name = {s.name: s for s in sorted(found, key=lambda s: s.name)}
    kinds_of_names = frozenset(expected), frozenset(without_exports)
    return Inbox(by_name, tuple(left), tuple(waiting), *kinds_of_names)


def _grouped(
    files: list[Path], inbox: Path, settings: Settings, kept_spans: Path
) -> tuple[dict[str, list[Path]], list[LeftAlone]]:
    """Loose files by the name of their session, and a sentence for those that have none."""
    spans = read_spans(files, inbox, settings, kept_spans) if files else {}
    reasons: dict[str, list[str]] = {}
    for file, span in spans.items():
        if span.reason:
            reasons.setdefault(span.reason, []).append(file.name)
    unusable = [_unusable(reason, names) for reason, names in reasons.items()]
    usable = {file: span.ends for file, span in spans.items() if span.ends}
    groups: dict[str, list[Path]] = {}
    for group in together(usable):
        names = numbered(group_name(usable[group[0]][0], settings.clock.time_zone))
        groups[next(name for name in names if name not in groups)] = sorted(group)
    return groups, unusable


def _unusable(reason: str, names: Sequence[str]) -> LeftAlone:
    lies, nameless = ("lies", "A file") if len(names) == 1 else ("lie", f"{len(names)} files")
    text = f"{HERE} {lies} directly in the inbox. {reason}"
    return LeftAlone.saying(text, first_of(names), nameless)


def _read_folder(
    name: str, folder: Path, heads: Heads
) -> tuple[SessionFolder | None, list[LeftAlone], Kinds]:
    """The session, or None where its card is there and cannot be read; what was not read, and
    what is no export."""
    entries, faults = sorted_out(folder)
    files = {e.name: Path(e.path) for e in entries if e.is_file()}
    faults |= {e.name: not_a_file(e.name) for e in entries if e.name not in files}
    if card.FILE_NAME in faults:
        both = (f"{said} Its session waits until then." for said in faults[card.FILE_NAME])
        faults[card.FILE_NAME] = LeftAlone(*both)
        return None, list(faults.values()), Kinds()
    card_path = files.pop(card.FILE_NAME, None)
    exports, others = heads.exports_among(files.values(), Glance(card_path).files)
    return _of_files(name, folder.name, exports, card_path), list(faults.values()), others


def _of_files(name: str, title: str, files: list[Path], card_path: Path | None) -> SessionFolder:
    return SessionFolder(name, title, card_path, tuple(sorted(files)))


def _copied(name: str) -> str:
    return f"{name} is still being copied; type `snakemake` again when it is there."
