"""Which device a file is from, and which recording is the reference."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from strapline.session.card import FILE_NAME, Card, Recording
from strapline.session.devices import REFERENCE_KINDS, Device, Register
from strapline.session.discovery import slug
from strapline.session.parsed import Candidate, ParsedExport

# Words in a file's name that tell the reference where nothing else does.
REFERENCE_WORDS = ("strap", "chest", "ecg", "reference")

LONGEST_NAME = 40


def candidates(
    exports: Sequence[ParsedExport], card: Card, register: Register
) -> tuple[Candidate, ...]:
    """Every file with its device: the card's word, else the register's rules, else the name
    the file gives itself."""
    entries = entries_by_file(exports, card, register)
    found = []
    for export in exports:
        entry = entries.get(export.file)
        known = (
            entry.device
            if entry
            else register.recognised(export.file, export.maker, export.product)
        )
        own_name = export.product or export.recording
        device = known or slug(own_name)[:LONGEST_NAME].strip("-")
        described = register.devices.get(device)
        found.append(
            Candidate(
                export=export,
                entry=entry,
                device=device,
                described=described
                or Device(label=(known or own_name)[:LONGEST_NAME], kind="other"),
                registered=described is not None,
                set_aside=_reason_against(export, exports, entries if card.recordings else None),
            )
        )
    return tuple(found)


def entries_by_file(
    exports: Sequence[ParsedExport], card: Card, register: Register
) -> dict[str, Recording]:
    """The card's entry for each file that has one: the one that names it, else, for the only file
    that can be a device's, the one that names the device and no file."""
    found = {entry.file: entry for entry in card.recordings if entry.file is not None}
    unnamed = [export for export in exports if export.file not in found]
    for entry in card.recordings:
        fitting = [export for export in unnamed if _is_from(entry.device, export, register)]
        if entry.file is None and len(fitting) == 1:
            found[fitting[0].file] = entry
    return found


def _is_from(device: str, export: ParsedExport, register: Register) -> bool:
    """By the register's rules, or by its name: grey-watch.fit, 'Grey watch (1).fit'."""
    if register.recognised(export.file, export.maker, export.product) == device:
        return True
    words, name = slug(Path(export.file).stem), slug(device)
    return words == name or words.startswith(f"{name}-")


def _reason_against(
    export: ParsedExport, exports: Sequence[ParsedExport], entries: Mapping[str, object] | None
) -> str | None:
    if export.set_aside:
        return export.set_aside
    if entries is not None and export.file not in entries:
        return f"not named in {FILE_NAME}; add it under 'recordings' to use it."
    if not (export.has_rate or export.has_beats):
        return "holds no heart rate; check what was exported."
    for other in exports:
        if other is export:
            return None
        if other.sha256 == export.sha256:
            return f"is the same file as {other.file}; it is used once."
    return None


def reference_among(usable: Sequence[Candidate]) -> tuple[Candidate | None, str | None]:
    """The reference, and a sentence saying on what grounds if the card does not name it."""
    stated = [c for c in usable if c.entry and c.entry.role == "reference"]
    if stated:
        return stated[0], None
    grounds: dict[str, Callable[[Candidate], bool]] = {
        "it comes from a chest strap or electrocardiogram": _is_reference_device,
        "it is the only one with RR intervals": lambda c: c.export.has_beats,
        "of its name": lambda c: any(word in c.file.casefold() for word in REFERENCE_WORDS),
    }
    for ground, holds in grounds.items():
        fitting = [c for c in usable if holds(c)]
        if len(fitting) == 1:
            return fitting[0], f"{fitting[0].file} is taken as the reference because {ground}."
    return None, None


def _is_reference_device(candidate: Candidate) -> bool:
    return candidate.described.kind in REFERENCE_KINDS
