"""The last lines a run prints: what is new, what was set aside, where to look."""

import shlex
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

import pandas as pd

from strapline.ground.records.intake import read_intake
from strapline.ground.report_files import ARCHIVE_PAGE
from strapline.ground.tables.archive import NOTICES, SESSIONS
from strapline.ground.vocabulary import NoticeKind
from strapline.ground.words import in_figures, listed
from strapline.running.first_day import first_things
from strapline.running.lines import IN_FULL, Block, fitted, printable
from strapline.running.moved import edition_now, moved
from strapline.running.news import KINDS, NEW, News, entries_of, news, untold
from strapline.running.own import Own
from strapline.running.taken import Taken
from strapline.running.told import Told, note, told_before

MOST_LISTED = 8
# Of more sessions it is said in what order they are told.
MOST_UNSORTED = 3
SET_ASIDE, WAITING = "Set aside", "Waiting for exports"
GONE = "No longer in the inbox, so not counted. To delete what was computed, type"
# What one is reminded of. A prepared session waits until it was recorded.
REMINDED = {SET_ASIDE: "set aside", GONE: "no longer in the inbox"}

Standing = Mapping[str, Sequence[str]]


def summary(own: Own, taken: Taken, sessions: Sequence[str]) -> str:
    """A few lines on a finished run that looked at these `sessions`, and on what no run told yet:
    from the archive's tables, without what was told before; this is noted there. Unlike the report,
    these lines are for the tester alone, and name files."""
    place = own.places.results
    if not (place / "archive" / "sessions.parquet").exists():
        return ""
    known = told_before(place) or Told()
    looked_at = news(own, list(dict.fromkeys([*sessions, *untold(taken, known)])), known)
    fresh = [each for each in looked_at if each.kind]
    standing = standing_now(place, taken)
    blocks = [_sessions(own, fresh, known), *_renamed(looked_at)]
    blocks += moved(place, known, own.settings.tolerance)
    for heading, lines in without_verdicts(standing, fresh).items():
        told = known.standing.get(heading, ())
        blocks += blocks_of({heading: [line for line in lines if line not in told]})
    in_full = f"{IN_FULL}{_where(place)}"
    blocks += _reminder(standing, known, in_full)
    note(place, _now_told(place, known, looked_at, standing))
    return "\n".join(["", *fitted([*blocks, *report(place)], in_full)])


def _reminder(standing: Standing, known: Told, in_full: str) -> list[Block]:
    """How much of what was told before is still so."""
    told = {heading: set(known.standing.get(heading, ())) for heading in REMINDED}
    counts = {heading: len(told[heading] & set(standing[heading])) for heading in REMINDED}
    still = [f"{count} {REMINDED[heading]}" for heading, count in counts.items() if count]
    return [Block(f"As told before: {listed(still)}. In full: {in_full}")] if still else []


def without_verdicts(standing: Standing, told: Sequence[News]) -> Standing:
    """Without the reasons of sessions that are `told` as why they do not count, or as advice."""
    verdicts = {f"{each.session}: {each.against}" for each in told}

    def is_said(line: str) -> bool:
        return line in verdicts or any(
            line.startswith(f"{each.session}, ") and line.endswith(each.copies) for each in told
        )

    return {
        heading: [line for line in lines if not is_said(line)]
        for heading, lines in standing.items()
    }


def _sessions(own: Own, fresh: Sequence[News], known: Told) -> Block:
    """How many there are, and what is new of them; advice for the whole bench once."""
    count = len(SESSIONS.read(own.places.results / "archive" / "sessions.parquet"))
    if not count:
        return first_things(own)
    kinds = Counter(each.kind for each in fresh)
    changed = ", ".join(f"{kinds[kind]} {kind}" for kind in KINDS if kinds[kind])
    first = ""
    if len(fresh) > MOST_UNSORTED:
        is_mixed = 0 < kinds[NEW] < len(fresh)
        first = f"; {'the new ones' if is_mixed else 'those furthest from the strap'} first"
    heading = f"{in_figures(count, 'session')}, {changed or 'none new'}{first}."
    return Block(heading, entries_of(fresh, known.advice), max(1, min(kinds[NEW], MOST_LISTED)))


def _renamed(looked_at: Sequence[News]) -> list[Block]:
    """What devices are called from now on."""
    counts = Counter(pair for each in looked_at for pair in sorted(each.renamed))
    return [
        Block(f"{then} is called {now} from now on, in {in_figures(count, 'session')}.")
        for (then, now), count in counts.items()
    ]


def _now_told(place: Path, known: Told, looked_at: Sequence[News], standing: Standing) -> Told:
    fresh = [each for each in looked_at if each.kind]
    said = known.sessions | {each.session: each.said for each in looked_at}
    advice = {*known.advice, *(own.once for each in fresh for own in each.advice)} - {""}
    there = {path.name for path in (place / "sessions").iterdir()} if said else set()
    return Told(
        sessions={name: each for name, each in said.items() if name in there},
        advice=tuple(sorted(advice)),
        # What is being copied is told for as long as it is.
        standing={
            heading: tuple(line for line in lines if "still being copied" not in line)
            for heading, lines in standing.items()
        },
        edition=edition_now(place),
        changed=tuple(each.session for each in fresh) or known.changed,
    )


def standing_now(place: Path, taken: Taken) -> Standing:
    """What stays as it is until somebody changes it, by heading."""
    notices = NOTICES.read(place / "archive" / "notices.parquet")
    return {
        SET_ASIDE: [*taken.inbox.left_alone, *_set_aside(notices, place / "sessions")],
        WAITING: list(taken.inbox.waiting),
        GONE: [f"strapline forget {name}{_where(place)}" for name in taken.no_more],
    }


def blocks_of(standing: Standing) -> list[Block]:
    return [
        Block(f"{heading}:", [[line] for line in lines])
        for heading, lines in standing.items()
        if lines
    ]


def _where(place: Path) -> str:
    """What a command needs to find results that are not where it looks by itself."""
    return "" if str(place) == "results" else f" --results {shlex.quote(str(place))}"


def report(place: Path) -> list[Block]:
    """Where its first page is, if there is one: `publish` alone makes none."""
    page = place / "report" / ARCHIVE_PAGE
    return [Block(f"Report: {page}")] if page.exists() else []


def _set_aside(notices: pd.DataFrame, made: Path) -> list[str]:
    """What was set aside of sessions, with the names of the files; a reason of several once."""
    own = notices[(notices["kind"] == NoticeKind.SET_ASIDE) & (notices["session"] != "")]
    rows = own[["session", "recording", "text"]].to_numpy(object)
    whole = {(session, text) for session, recording, text in rows if pd.isna(recording)}
    said = [f"{session}: {text}" for session, text in sorted(whole)]
    files: dict[tuple[str, str], list[str]] = {}
    for session, recording, text in rows:
        # Why a session does not count may hold why its files do not.
        if not pd.isna(recording) and not any(s == session and text in why for s, why in whole):
            files.setdefault((session, text), []).append(_file(made, session, recording))
    return [*said, *(f"{session}, {listed(own)}: {text}" for (session, text), own in files.items())]


def _file(made: Path, session: str, recording: str) -> str:
    """What the file of a recording is called, which no table of the archive says."""
    entries = read_intake(made / session / "intake.json").recordings
    return next((entry.file for entry in entries if entry.recording == recording), recording)


def unread(faults: Mapping[str, str]) -> str:
    """What to say of sessions that cannot be read now, with what is in the way."""
    heading = "These cannot be read or written now. Their results stay as they were, and count:"
    return "\n".join(["", heading, *_listed([f"{name}: {why}" for name, why in faults.items()])])


def failure(
    logs: Sequence[str], troubles: Collection[str], command: str, told_to_end: bool = False
) -> str:
    """What to say when not all was done: the run was told to end, or a job failed. That is a
    defect of Strapline or, where `troubles` say so, of the machine. `command`: to be typed
    again."""
    if told_to_end and not troubles:
        return (
            "\nThe run was stopped. The steps under way are finished; type "
            f"`{command}` to do the rest."
        )
    what = " ".join(["A step failed.", *sorted(troubles)])
    return (
        f"\n{what}\nEverything else is finished; type `{command}` to try again."
        f"\nThe error is in {', '.join(logs)}"
    )


def not_as_made(
    made_again: Collection[str],
    still: Collection[str],
    moved: Mapping[str, str],
    handed_on: Collection[str],
) -> str:
    """What of the results was not as Strapline made it, by name: files that were gone and are
    `made_again`, and those that are `still` not as they were; what was `moved` aside, with its
    new name; and what of editions, packages and publications is not what was `handed_on`."""
    told = {
        "Changed since Strapline wrote it, and moved aside under results/set-aside": [
            f"{name} is now {new}" for name, new in sorted(moved.items())
        ],
        "Missing, and written again": sorted(made_again),
        "Missing or changed, and still to be written again": sorted(still),
        "Changed since Strapline wrote it; left as it is, since you may have passed it on": sorted(
            handed_on
        ),
    }
    lines = []
    for heading, entries in told.items():
        if entries:
            lines += [f"{heading} ({len(entries)}):", *_listed(entries, elsewhere="")]
    return "".join(f"{line}\n" for line in lines)


def _listed(entries: Sequence[str], elsewhere: str = ", on the report's first page") -> list[str]:
    """The first entries."""
    more = len(entries) - MOST_LISTED
    lines = [f"  {printable(entry)}" for entry in entries[:MOST_LISTED]]
    return [*lines, f"  … and {more} more{elsewhere}"] if more > 0 else lines
