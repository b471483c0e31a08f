"""What each session of the inbox is called among the results.

Titles that differ in capitals, accents or signs come out as one name. It is then the name of the
session that its results say they are of, and the others get a hash of their title. Where that is
not enough they wait until somebody renames them. So what comes later takes nobody's results.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from strapline.ground.files import model_at, sha256_of
from strapline.ground.records.intake import SessionIntake
from strapline.ground.slugs import slug, slug_apart
from strapline.reading.inbox.readable import LeftAlone, first_of, sorted_out


@dataclass(frozen=True)
class Titled:
    """A folder of the inbox by its name, or files lying loose there by that of their session."""

    title: str
    folder: Path | None = None
    loose: tuple[Path, ...] = ()

    @property
    def files(self) -> list[Path]:
        if self.folder is None:
            return list(self.loose)
        entries, _ = sorted_out(self.folder)
        return [Path(entry.path) for entry in entries if entry.is_file()]

    def told(self, with_names: bool) -> str:
        if self.folder is not None:
            return self.title
        files = first_of([path.name for path in self.loose]) if with_names else "files"
        return f"{files} (loose in the inbox)"


def named(
    found: Sequence[Titled], sessions: Path
) -> tuple[dict[Titled, str], dict[Titled, LeftAlone]]:
    """A distinct name for each, and for those that wait for one a sentence that says why.

    `sessions` is the folder of the sessions' results. Only those are opened whose names are in
    question.
    """
    wanted: dict[str, list[Titled]] = {}
    for each in found:
        wanted.setdefault(slug(each.title), []).append(each)
    names: dict[Titled, str] = {}
    for rivals in wanted.values():
        if len(rivals) > 1 or (sessions / slug_apart(rivals[0].title)).exists():
            names |= _by_results(rivals, sessions)
    owners = {name: each for each, name in names.items()}
    waiting: dict[Titled, LeftAlone] = {}
    for name, rivals in wanted.items():
        for each in (rival for rival in rivals if rival not in names):
            alone = len(rivals) == 1 and name not in owners
            own = name if alone else slug_apart(each.title)
            namesakes = [one for one in rivals if one is not each and one.title == each.title]
            others = [] if alone else [*wanted.get(own, ()), *filter(None, [owners.get(own)])]
            if namesakes:
                waiting[each] = _sentence(each, name, namesakes[0])
            elif others:
                waiting[each] = _sentence(each, own, others[0])
            else:
                names[each] = own
                owners[own] = each
    return names, waiting


def _by_results(rivals: Sequence[Titled], sessions: Path) -> dict[Titled, str]:
    """The names of those that have results, which may also have been told apart by a hash."""
    found: dict[Titled, str] = {}
    for title in dict.fromkeys(each.title for each in rivals):
        for name in (slug(title), slug_apart(title)):
            intake = model_at(sessions / name / "intake.json", SessionIntake)
            if intake is not None and intake.title == title:
                namesakes = [each for each in rivals if each.title == title]
                found |= dict.fromkeys(_of(intake, namesakes), name)
                break
    return found


def _of(intake: SessionIntake, namesakes: Sequence[Titled]) -> Sequence[Titled]:
    """Whose results they are: where loose files make a session that is called as a folder is,
    theirs of whose files they know the more; nobody's if they know none."""
    if len(namesakes) == 1:
        return namesakes
    known = {entry.sha256 for entry in intake.recordings}
    shared = [len(known & {sha256_of(path) for path in each.files}) for each in namesakes]
    return [namesakes[shared.index(max(shared))]] if any(shared) else []


def _sentence(each: Titled, name: str, other: Titled) -> LeftAlone:
    told, nameless = (_said(each, name, other, with_names) for with_names in (True, False))
    return LeftAlone(told, nameless)


def _said(each: Titled, name: str, other: Titled, with_names: bool) -> str:
    waits = "waits" if each.folder or (with_names and len(each.loose) == 1) else "wait"
    remedy = "Rename it" if each.folder else "Put them in a folder of another name"
    return (
        f"{each.told(with_names)} {waits}: {other.told(with_names)} has the same name among the "
        f"results, {name}. {remedy}."
    )
