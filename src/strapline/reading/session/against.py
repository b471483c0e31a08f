"""Why a stream is not used."""

import datetime as dt
from collections.abc import Sequence
from pathlib import Path

from strapline.ground.records.card import FILE_NAME, Recording
from strapline.ground.records.intake import Notice
from strapline.ground.vocabulary import FileClock, NoticeKind
from strapline.reading.formats.several import FORMAT as ARCHIVE
from strapline.reading.session.entries import Entries, is_named_after, key_of, plainness
from strapline.reading.session.parsed import ParsedExport

# Wall-clock times are at most so far from UTC.
FURTHEST_ZONE = dt.timedelta(hours=14)


def reason_against(
    place: int, exports: Sequence[ParsedExport], entries: Entries, names_all: bool
) -> str | None:
    """`names_all`: whether only what the card names is to be used."""
    export = exports[place]
    entry = entries.get(key_of(export))
    if entry is not None and entry.leave_out is not None:
        return f"It is left out, as {FILE_NAME} says: {entry.leave_out}"
    if export.set_aside:
        return export.set_aside
    if export.told is not None and export.told.against and not (entry and entry.stream):
        return export.told.against
    if _is_a_double(export, exports, entries, names_all):
        return "It is the same file as another one of the session, which is used once."
    if names_all and entry is None:
        if again := _exported_again(export.file, entries):
            return (
                f"It is not named in {FILE_NAME}, and looks like another export of {again}. To use "
                "it, write its name there in place of the other file's."
            )
        what = f", with its file and stream: {export.stream}," if export.told else ""
        return f"It is not named in {FILE_NAME}; add it{what} under 'recordings' to use it."
    if not (export.has_rate or export.has_beats):
        return "It holds no heart rate; check what was exported."
    return _against_the_clock(export, exports, entry)


def _is_a_double(
    export: ParsedExport, exports: Sequence[ParsedExport], entries: Entries, names_all: bool
) -> bool:
    """Whether another holds the same and is used: one that the card names, else the plainer
    name."""

    def rank(one: ParsedExport) -> tuple[bool, tuple[int, str]]:
        return key_of(one) not in entries, plainness(one.file)

    return any(
        (other.sha256, other.stream) == (export.sha256, export.stream)
        and (not names_all or key_of(other) in entries)
        and rank(other) < rank(export)
        for other in exports
    )


def _exported_again(file: str, entries: Entries) -> str | None:
    """The device of an entry whose file is called as this one is, but for what is added to names
    that are there already."""
    for (named, _), entry in entries.items():
        if file != named and is_named_after(file, Path(named).stem):
            return entry.device
    return None


def _against_the_clock(
    export: ParsedExport, exports: Sequence[ParsedExport], entry: Recording | None
) -> str | None:
    """A clock that no card can mend, or one without a date that none has mended.

    Where several have no date, they may well be of one clock.
    """
    fault = export.clock_fault
    if fault is None or fault.kind == "jump":
        return None
    if fault.kind == "broken":
        return f"{fault.what}; cut the file in two there, and keep the right part."
    undated = [o for o in exports if o.clock_fault and o.clock_fault.kind == "undated"]
    if len(undated) > 1 or (entry is not None and entry.clock.starts_at is not None):
        return None
    return f"{fault.what}; say when it began under clock.starts_at in {FILE_NAME}."


def of_this_time(exports: Sequence[ParsedExport]) -> tuple[list[ParsedExport], list[Notice]]:
    """The exports without those of archives of many that share no time with the session's other
    files, and a word on how many those are; all, where no other file has a time."""
    kept, notices = [], list[Notice]()
    for export in exports:
        others = [o for o in exports if o.file != export.file and o.first and o.last]
        if export.format != ARCHIVE or not others or any(_share(export, o) for o in others):
            kept.append(export)
    for file in dict.fromkeys(export.file for export in exports if export not in kept):
        of_file = [export for export in exports if export.file == file]
        left = sum(export not in kept for export in of_file)
        text = (
            f"An archive in the folder holds {len(of_file)} recordings; {left} of them share no "
            "time with the session's other files and are left out."
        )
        notices.append(Notice(kind=NoticeKind.SET_ASIDE, text=text))
    return kept, notices


def _share(export: ParsedExport, other: ParsedExport) -> bool:
    if not (export.first and export.last and other.first and other.last):
        return False
    slack = dt.timedelta(0) if other.clock == FileClock.UTC else FURTHEST_ZONE
    return export.first < other.last + slack and other.first - slack < export.last
