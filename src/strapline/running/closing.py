"""The last lines a run prints: what is new, what was set aside, where to look."""

import shlex
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd

from strapline.ground.files import read_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import SessionIntake, is_unknown, read_intake
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.tables.archive import NOTICES, SESSIONS
from strapline.ground.vocabulary import NoticeKind
from strapline.ground.words import in_figures, listed, plain
from strapline.method.claims.usable import usability

MOST_LISTED = 8


def summary(
    results: str,
    new_sessions: Sequence[str],
    left_alone: Sequence[str] = (),
    waiting: Sequence[str] = (),
    no_more: Sequence[str] = (),
    first_things: Sequence[str] = (),
) -> str:
    """A few lines on a finished run, from the archive's tables under `results`.

    `left_alone`: sentences on what belongs to no session; `waiting`: sessions that wait, with or
    without a reason; `no_more`: those that have results and are no longer in the inbox;
    `first_things`: what to say where there is no session. Unlike the report, these lines are for
    the tester alone, and name files.
    """
    archive = Path(results, "archive")
    made = Path(results, "sessions")
    new_sessions = [name for name in new_sessions if (made / name / "ledger.json").exists()]
    if not (archive / "sessions.parquet").exists():
        return ""
    sessions = SESSIONS.read(archive / "sessions.parquet")
    notices = NOTICES.read(archive / "notices.parquet")
    set_aside = [*left_alone, *_set_aside(notices, made)]
    lines = [
        "",
        *(
            [f"{in_figures(len(sessions), 'session')}, {len(new_sessions) or 'none'} new."]
            if len(sessions)
            else first_things
        ),
        *_listed(new_sessions, lambda name: _verdict(name, made / name)),
    ]
    if set_aside:
        lines += [f"Set aside ({len(set_aside)}):", *_listed(set_aside)]
    if waiting:
        lines += ["Waiting:", *_listed(waiting)]
    if no_more:
        lines.append("No longer in the inbox, so not counted. To delete what was computed, type:")
        where = "" if results == "results" else f" --results {shlex.quote(results)}"
        lines += _listed(no_more, lambda name: [f"strapline forget {name}{where}"])
    lines.append(f"Report: {Path(results, 'report', 'index.html')}")
    return "\n".join(lines)


def _set_aside(notices: pd.DataFrame, made: Path) -> list[str]:
    """What was set aside of sessions, with the names of the files."""
    own = notices[(notices["kind"] == NoticeKind.SET_ASIDE) & (notices["session"] != "")]
    said = []
    for session, recording, text in own[["session", "recording", "text"]].to_numpy():
        file = "" if pd.isna(recording) else f", {_file(made, session, recording)}"
        said.append(f"{session}{file}: {text}")
    return said


def _file(made: Path, session: str, recording: str) -> str:
    """What the file of a recording is called, which no table of the archive says."""
    entries = read_intake(made / session / "intake.json").recordings
    return next((entry.file for entry in entries if entry.recording == recording), recording)


def unread(faults: Mapping[str, str]) -> str:
    """What to say of sessions that cannot be read now, with what is in the way."""
    heading = "These cannot be read or written now. Their results stay as they were, and count:"
    return "\n".join(["", heading, *_listed(list(faults.items()), lambda entry: [_line(*entry)])])


def _verdict(session: str, folder: Path) -> list[str]:
    """Whether a new session counts, and each thing to do differently."""
    intake = read_intake(folder / "intake.json")
    found = usability(
        intake,
        read_model(folder / "alignment.json", SessionAlignment),
        read_model(folder / "ledger.json", SessionLedger),
    )
    return [_line(session, found.verdict), *found.next_time, *_nameless(intake)]


def _nameless(intake: SessionIntake) -> Iterator[str]:
    """Which files are from devices that nobody names: pages do not say what a file is called."""
    usable = [entry for entry in intake.recordings if entry.set_aside is None]
    files = [f"{e.label} is {plain(e.file)}" for e in usable if is_unknown(e.device)]
    if files:
        yield f"{listed(files)}. Name them in config/devices.yaml or session.yaml."


def failure(logs: Sequence[str], troubles: Collection[str], told_to_end: bool = False) -> str:
    """What to say when not all was done: the run was told to end, or a job failed. That is a
    defect of Strapline or, where `troubles` say so, of the machine."""
    if told_to_end and not troubles:
        return (
            "\nThe run was stopped. The steps under way are finished; type `snakemake` to do the "
            "rest."
        )
    what = " ".join(["A step failed.", *sorted(troubles)])
    return (
        f"\n{what}\nEverything else is finished; type `snakemake` to try again."
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


def _line(session: str, text: str) -> str:
    return f"{session}: {text}" if session else text


def _listed(
    entries: Sequence[Any],
    told: Callable[[Any], Sequence[str]] = lambda entry: [entry],
    elsewhere: str = ", on the report's first page",
) -> list[str]:
    """The first entries, each with its further lines set in below."""
    more = len(entries) - MOST_LISTED
    lines = [
        f"{'    ' if number else '  '}{_printable(line)}"
        for entry in entries[:MOST_LISTED]
        for number, line in enumerate(told(entry))
    ]
    return [*lines, f"  … and {more} more{elsewhere}"] if more > 0 else lines


def _printable(line: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in line)
