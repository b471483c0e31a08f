"""Which device a file is from, and which recording is the reference."""

from collections import defaultdict
from collections.abc import Sequence

from strapline.ground.records.card import FILE_NAME, Card
from strapline.ground.records.intake import UNKNOWN, is_unknown
from strapline.ground.records.register import REFERENCE_KINDS, Device, Register
from strapline.ground.slugs import LONGEST_NAME, numbered, short_slug
from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import SensorKind
from strapline.reading.formats.several import FORMAT as ARCHIVE
from strapline.reading.session.entries import Entries, entries_by_stream, key_of, recognised
from strapline.reading.session.parsed import Candidate, ParsedExport

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
    entries = entries_by_stream(exports, card, register)
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
            entry=entries.get(key_of(export)),
            device=device,
            described=register.devices.get(device)
            or _undescribed(device, export, exports, devices),
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
    entries: Entries,
    register: Register,
) -> list[str]:
    found: list[str] = []
    for export in exports:
        entry = entries.get(key_of(export))
        known = entry.device if entry else _by_its_file(export, exports, register)
        # By its content, for a file may be renamed.
        own = export.raw or str(len(found))
        further = "" if export.stream == FIRST_STREAM else f".{export.stream}"
        found.append(known or f"{UNKNOWN}{session}.{own}{further}")
    return found


def _by_its_file(
    export: ParsedExport, exports: Sequence[ParsedExport], register: Register
) -> str | None:
    """The device that wrote the file, for the first of its streams that is no strap's and made of
    no other: that is the device's own. Of the sensor of any other the file says no more."""
    known = recognised(export.file, export.identity, register) or _listed(export)
    of_file = [e for e in exports if e.file == export.file]
    own = [e.stream for e in of_file if not (_is_of_a_strap(e) or (e.told and e.told.against))]
    if export.stream != min(own, default=FIRST_STREAM) and export.format != ARCHIVE:
        return None
    if not _is_of_a_strap(export):
        return known
    device = register.devices.get(known or "")
    return known if device and device.kind in REFERENCE_KINDS else None


def _is_of_a_strap(export: ParsedExport) -> bool:
    return export.told is not None and export.told.kind in REFERENCE_KINDS


def _listed(export: ParsedExport) -> str | None:
    listed, numbers = export.identity.listed, export.identity.unlisted
    if listed is None and numbers is not None:
        return f"device-{numbers[0]}-{numbers[1]}"
    return short_slug(listed) if listed else None


def _undescribed(
    device: str, export: ParsedExport, exports: Sequence[ParsedExport], devices: Sequence[str]
) -> Device:
    """What is said of a device that the register does not know."""
    kind = export.told.kind if export.told else None
    if is_unknown(device):
        word = _unknown_label(export)
        alike = {
            other
            for other, of in zip(devices, exports, strict=True)
            if is_unknown(other) and _unknown_label(of) == word
        }
        number = f" {sorted(alike).index(device) + 1}" if len(alike) > 1 else ""
        return Device(label=f"{word}{number}", kind=kind or SensorKind.OTHER)
    label = None
    if device == _listed(export):
        numbers = export.identity.unlisted
        label = export.identity.listed or (
            f"Unknown device {numbers[0]}-{numbers[1]}" if numbers else None
        )
    return Device(label=(label or device)[:LONGEST_NAME], kind=kind or SensorKind.OTHER)


def _unknown_label(export: ParsedExport) -> str:
    if export.told is not None and export.told.kind == SensorKind.CHEST_STRAP:
        return "Unknown chest strap"
    return "Unknown device" if export.stream == FIRST_STREAM else "Unknown sensor"


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
    entries: Entries,
    card: Card,
    reasons: Sequence[str | None],
) -> list[str]:
    """The recordings' names: their device's, with a number for each further one of it.

    First come those that can be used, in the order of the card and then of the files' names, so
    that what is set aside, or not in the card, names no other anew.
    """
    last = len(card.recordings)
    places = {key: card.recordings.index(entry) for key, entry in entries.items()}
    order = sorted(
        range(len(exports)),
        key=lambda i: (
            reasons[i] is not None,
            places.get(key_of(exports[i]), last),
            devices[i] if is_unknown(devices[i]) else "",
            i,
        ),
    )
    others, names = set(devices), dict[int, str]()
    used: set[str] = set()
    for i in order:
        own = NAMELESS if is_unknown(devices[i]) else devices[i]
        free = (n for n in numbered(own) if n not in used and (n == devices[i] or n not in others))
        names[i] = next(free)
        used.add(names[i])
    return [names[i] for i in range(len(exports))]


def _reason_against(
    place: int, exports: Sequence[ParsedExport], entries: Entries | None
) -> str | None:
    export = exports[place]
    if export.set_aside:
        return export.set_aside
    entry = entries.get(key_of(export)) if entries is not None else None
    if export.told is not None and export.told.against and not (entry and entry.stream):
        return export.told.against
    if entries is not None and entry is None:
        what = f", with its file and stream: {export.stream}," if export.told else ""
        return f"It is not named in {FILE_NAME}; add it{what} under 'recordings' to use it."
    if not (export.has_rate or export.has_beats):
        return "It holds no heart rate; check what was exported."
    if any(
        (other.sha256, other.stream) == (export.sha256, export.stream)
        and (entries is None or key_of(other) in entries)
        for other in exports[:place]
    ):
        return "It is the same file as another one of the session, which is used once."
    return None


def _left_out(export: ParsedExport, entries: Entries) -> str | None:
    entry = entries.get(key_of(export))
    if entry is None or entry.leave_out is None:
        return None
    return f"It is left out, as {FILE_NAME} says: {entry.leave_out}"


def _against_the_clock(
    export: ParsedExport, exports: Sequence[ParsedExport], entries: Entries
) -> str | None:
    """A clock that no card can mend, or one without a date that none has mended.

    Where several have no date, they may well be of one clock.
    """
    fault, entry = export.clock_fault, entries.get(key_of(export))
    if fault is None or fault.kind == "jump":
        return None
    if fault.kind == "broken":
        return f"{fault.what}; cut the file in two there, and keep the right part."
    undated = [o for o in exports if o.clock_fault and o.clock_fault.kind == "undated"]
    if len(undated) > 1 or (entry is not None and entry.clock.starts_at is not None):
        return None
    return f"{fault.what}; say when it began under clock.starts_at in {FILE_NAME}."
