"""Which device a file is from, and which recording is the reference."""

import itertools
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from strapline.ground.records.card import FILE_NAME, Card, Recording
from strapline.ground.records.intake import UNKNOWN, is_unknown
from strapline.ground.records.register import REFERENCE_KINDS, Device, Register
from strapline.ground.slugs import slug
from strapline.ground.vocabulary import Role, SensorKind
from strapline.reading.session.parsed import Candidate, ParsedExport

# Words in a file's name that tell the reference where nothing else does.
REFERENCE_WORDS = ("strap", "chest", "ecg", "reference")

LONGEST_NAME = 40

# What a recording of a device is called of which nothing is known.
NAMELESS = "unknown-device"


def candidates(
    session: str, exports: Sequence[ParsedExport], card: Card, register: Register
) -> tuple[Candidate, ...]:
    """Every stream with its device, and its recording named after that.

    The device is the card's word, else what the register's rules or the file's name say, else
    the maker and product that the file states, if the FIT profile lists them. Of any other
    nothing is known, not even whether it is the one of another session.
    """
    entries = entries_by_file(exports, card, register)
    reasons = [
        _left_out(export, entries)
        or _reason_against(place, exports, entries if card.recordings else None)
        or _against_the_clock(export, exports, entries)
        for place, export in enumerate(exports)
    ]
    devices = _devices(session, exports, entries, register)
    units = _units(devices, exports)
    names = _names(devices, exports, entries, card, reasons)
    return tuple(
        Candidate(
            export=export,
            recording=name,
            entry=entries.get(export.file),
            device=device,
            described=register.devices.get(device) or _undescribed(device, export, devices),
            registered=device in register.devices,
            unit=unit,
            set_aside=reason,
        )
        for export, name, device, unit, reason in zip(
            exports, names, devices, units, reasons, strict=True
        )
    )


def _devices(
    session: str,
    exports: Sequence[ParsedExport],
    entries: Mapping[str, Recording],
    register: Register,
) -> list[str]:
    found: list[str] = []
    for export in exports:
        known = entries[export.file].device if export.file in entries else None
        known = known or _recognised(export, register) or _listed(export)
        # By its content, for a file may be renamed.
        found.append(known or f"{UNKNOWN}{session}.{export.raw or len(found)}")
    return found


def _recognised(export: ParsedExport, register: Register) -> str | None:
    """The device whose rules fit, or else the one whose name the file's name begins with."""
    by_rule = register.recognised(export.file, export.identity.maker, export.identity.product)
    by_name = [name for name in register.devices if _is_named_after(export.file, name)]
    return by_rule or max(by_name, key=len, default=None)


def _is_named_after(file: str, device: str) -> bool:
    """grey-watch.fit and 'Grey watch (1).fit' are; greywatch.fit is not."""
    words, name = slug(Path(file).stem), slug(device)
    return words == name or words.startswith(f"{name}-")


def _listed(export: ParsedExport) -> str | None:
    listed = export.identity.listed
    return slug(listed)[:LONGEST_NAME].strip("-") if listed else None


def _undescribed(device: str, export: ParsedExport, devices: Sequence[str]) -> Device:
    """What is said of a device that the register does not know."""
    unknown = sorted({other for other in devices if is_unknown(other)})
    if device in unknown:
        number = f" {unknown.index(device) + 1}" if len(unknown) > 1 else ""
        return Device(label=f"Unknown device{number}", kind=SensorKind.OTHER)
    named_by_file = device == _listed(export)
    label = export.identity.listed if named_by_file else None
    return Device(label=(label or device)[:LONGEST_NAME], kind=SensorKind.OTHER)


def _units(devices: Sequence[str], exports: Sequence[ParsedExport]) -> list[int | None]:
    """Which unit of its device each file is from, from 1, by the serial numbers; None where the
    file has none, or the session has no other file of the device."""
    serials: dict[str, list[str]] = defaultdict(list)
    units: list[int | None] = []
    for device, export in zip(devices, exports, strict=True):
        known, serial = serials[device], export.identity.serial
        if serial is None or devices.count(device) == 1:
            units.append(None)
            continue
        if serial not in known:
            known.append(serial)
        units.append(known.index(serial) + 1)
    return units


def _names(
    devices: Sequence[str],
    exports: Sequence[ParsedExport],
    entries: Mapping[str, Recording],
    card: Card,
    reasons: Sequence[str | None],
) -> list[str]:
    """The recordings' names: their device's, with a number for each further one of it.

    First come those that can be used, in the order of the card and then of the files' names, so
    that what is set aside, or not in the card, names no other anew.
    """
    last = len(card.recordings)
    places = {file: card.recordings.index(entry) for file, entry in entries.items()}
    order = sorted(
        range(len(exports)),
        key=lambda i: (
            reasons[i] is not None,
            places.get(exports[i].file, last),
            devices[i] if is_unknown(devices[i]) else "",
            i,
        ),
    )
    others, names = set(devices), dict[int, str]()
    used: set[str] = set()
    for i in order:
        own = NAMELESS if is_unknown(devices[i]) else devices[i]
        numbered = (own if n == 1 else f"{own}-{n}" for n in itertools.count(1))
        free = (n for n in numbered if n not in used and (n == devices[i] or n not in others))
        names[i] = next(free)
        used.add(names[i])
    return [names[i] for i in range(len(exports))]


def entries_by_file(
    exports: Sequence[ParsedExport], card: Card, register: Register
) -> dict[str, Recording]:
    """The card's entry for each file that has one: the one that names it, else, for the only file
    that can be a device's, the one that names the device and no file."""
    found = {entry.file: entry for entry in card.recordings if entry.file is not None}
    unnamed = [export for export in exports if export.file not in found]
    for entry in card.recordings:
        fitting = {e.file for e in unnamed if _is_from(entry.device, e, register)}
        if entry.file is None and len(fitting) == 1:
            found[fitting.pop()] = entry
    return found


def _is_from(device: str, export: ParsedExport, register: Register) -> bool:
    """By the register's rules, or by its name."""
    identity = export.identity
    by_rule = register.recognised(export.file, identity.maker, identity.product)
    return by_rule == device or _is_named_after(export.file, device)


def _reason_against(
    place: int, exports: Sequence[ParsedExport], entries: Mapping[str, object] | None
) -> str | None:
    export = exports[place]
    if export.set_aside:
        return export.set_aside
    if entries is not None and export.file not in entries:
        return f"It is not named in {FILE_NAME}; add it under 'recordings' to use it."
    if not (export.has_rate or export.has_beats):
        return "It holds no heart rate; check what was exported."
    if any(
        (other.sha256, other.stream) == (export.sha256, export.stream)
        and (entries is None or other.file in entries)
        for other in exports[:place]
    ):
        return "It is the same file as another one of the session, which is used once."
    return None


def _left_out(export: ParsedExport, entries: Mapping[str, Recording]) -> str | None:
    entry = entries.get(export.file)
    if entry is None or entry.leave_out is None:
        return None
    return f"It is left out, as {FILE_NAME} says: {entry.leave_out}"


def _against_the_clock(
    export: ParsedExport, exports: Sequence[ParsedExport], entries: Mapping[str, Recording]
) -> str | None:
    """A clock that no card can mend, or one without a date that none has mended.

    Where several have no date, they may well be of one clock.
    """
    fault, entry = export.clock_fault, entries.get(export.file)
    if fault is None or fault.kind == "jump":
        return None
    if fault.kind == "broken":
        return f"{fault.what}; cut the file in two there, and keep the right part."
    undated = [o for o in exports if o.clock_fault and o.clock_fault.kind == "undated"]
    if len(undated) > 1 or (entry is not None and entry.clock.starts_at is not None):
        return None
    return f"{fault.what}; say when it began under clock.starts_at in {FILE_NAME}."


def reference_among(usable: Sequence[Candidate]) -> tuple[Candidate | None, str | None]:
    """The reference, and a sentence saying on what grounds if the card does not name it."""
    stated = [c for c in usable if c.entry and c.entry.role == Role.REFERENCE]
    if stated:
        return stated[0], None
    grounds: dict[str, Callable[[Candidate], bool]] = {
        "it comes from a chest strap or electrocardiogram": _is_reference_device,
        "it is the only one with RR intervals": lambda c: c.export.has_beats,
        "of its name": lambda c: any(word in c.export.file.casefold() for word in REFERENCE_WORDS),
    }
    for ground, holds in grounds.items():
        fitting = [c for c in usable if holds(c)]
        if len(fitting) == 1:
            return fitting[0], f"{fitting[0].recording} is taken as the reference because {ground}."
    return None, None


def _is_reference_device(candidate: Candidate) -> bool:
    return candidate.described.kind in REFERENCE_KINDS
