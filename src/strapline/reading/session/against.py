"""Why a stream is not used."""

from collections.abc import Sequence
from pathlib import Path

from strapline.ground.records.card import FILE_NAME, Recording
from strapline.reading.session.entries import Entries, is_named_after, key_of
from strapline.reading.session.parsed import ParsedExport


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
    if any(
        (other.sha256, other.stream) == (export.sha256, export.stream)
        and (not names_all or key_of(other) in entries)
        for other in exports[:place]
    ):
        return "It is the same file as another one of the session, which is used once."
    return _against_the_clock(export, exports, entry)


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
