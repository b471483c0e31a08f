"""Which device each stream is from, and what its recording is called."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from strapline.ground.records.card import Card, Recording
from strapline.ground.records.intake import UNKNOWN, is_unknown
from strapline.ground.records.register import REFERENCE_KINDS, Device, Register
from strapline.ground.slugs import LONGEST_NAME, numbered, short_slug
from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import SensorKind
from strapline.reading.formats.several import FORMAT as ARCHIVE
from strapline.reading.session.against import reason_against
from strapline.reading.session.entries import entries_by_stream, key_of, recognised
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
    devices = [
        _device(session, place, exports, entries.get(key_of(export)), register)
        for place, export in enumerate(exports)
    ]
    found = [
        Candidate(
            export=export,
            recording="",
            entry=entries.get(key_of(export)),
            device=device,
            described=register.devices.get(device)
            or _undescribed(device, export, exports, devices),
            registered=device in register.devices,
            unit=unit,
            set_aside=reason_against(place, exports, entries, bool(card.recordings)),
        )
        for place, (export, device, unit) in enumerate(
            zip(exports, devices, _units(devices, exports), strict=True)
        )
    ]
    return _named(found, card)


def _device(
    session: str,
    place: int,
    exports: Sequence[ParsedExport],
    entry: Recording | None,
    register: Register,
) -> str:
    export = exports[place]
    known = entry.device if entry else _by_its_file(export, exports, register)
    # By its content, for a file may be renamed.
    own = export.raw or str(place)
    further = "" if export.stream == FIRST_STREAM else f".{export.stream}"
    return known or f"{UNKNOWN}{session}.{own}{further}"


def _by_its_file(
    export: ParsedExport, exports: Sequence[ParsedExport], register: Register
) -> str | None:
    """The device that wrote the file, for the first of its streams that is no strap's and made of
    no other: that is the device's own. Of the sensor of any other the file says no more."""
    known = recognised(export.file, export.identity, register) or _listed(export)
    of_file = [e for e in exports if e.file == export.file]
    own = [e.stream for e in of_file if not (e.is_of_a_strap or (e.told and e.told.against))]
    if export.stream != min(own, default=FIRST_STREAM) and export.format != ARCHIVE:
        return None
    if not export.is_of_a_strap:
        return known
    device = register.devices.get(known or "")
    return known if device and device.kind in REFERENCE_KINDS else None


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


def _named(found: Sequence[Candidate], card: Card) -> tuple[Candidate, ...]:
    """Each with its recording's name: its device's, with a number for each further one of it.

    First come those that can be used, in the order of the card and then of the files' names, so
    that what is set aside, or not in the card, names no other anew.
    """

    def rank(place: int) -> tuple[bool, int, str]:
        one, stated = found[place], card.recordings
        in_card = stated.index(one.entry) if one.entry else len(stated)
        return one.set_aside is not None, in_card, one.device if is_unknown(one.device) else ""

    devices, used, named = {one.device for one in found}, set[str](), list(found)
    for place in sorted(range(len(found)), key=rank):
        device = found[place].device
        names = numbered(NAMELESS if is_unknown(device) else device)
        name = next(n for n in names if n not in used and (n == device or n not in devices))
        used.add(name)
        named[place] = replace(found[place], recording=name)
    return tuple(named)
