"""Which file each entry of a card is for, and which device of the register a file is from."""

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from strapline.ground.mistakes import nearest, placed
from strapline.ground.records.card import FILE_NAME, Card, Recording
from strapline.ground.records.register import REFERENCE_KINDS, Device, Register
from strapline.ground.slugs import slug
from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import Role
from strapline.reading.formats.identity import Identity
from strapline.reading.session.parsed import ParsedExport

# What the card says of a stream, by its file's name and its number.
Entries = dict[tuple[str, int], Recording]


def entries_by_stream(exports: Sequence[ParsedExport], card: Card, register: Register) -> Entries:
    """The card's entry for each stream that has one: the one that names its file, else, for the
    only file that can be a device's, the one that names the device and no file."""
    named = {entry.file for entry in card.recordings if entry.file is not None}
    unnamed = [export for export in exports if export.file not in named]
    found: Entries = {}
    for entry in card.recordings:
        file = entry.file
        if file is None:
            # Of copies the one with the plainest name.
            of_it = [e for e in unnamed if _is_from(entry.device, e, register)]
            of_it.sort(key=lambda e: plainness(e.file))
            contents = {e.sha256 or e.file for e in of_it}
            file = of_it[0].file if len(contents) == 1 else None
        if file is not None:
            of_file = [export for export in exports if export.file == file]
            found[file, entry.stream or _meant(of_file, entry, register)] = entry
    return found


def _meant(of_file: Sequence[ParsedExport], entry: Recording, register: Register) -> int:
    """The stream that an entry without one is for: where the device is a strap and one stream of
    the file is a strap's, that one; else the first."""
    device = register.devices.get(entry.device)
    is_reference = device.kind in REFERENCE_KINDS if device else entry.role == Role.REFERENCE
    straps = [export.stream for export in of_file if export.is_of_a_strap]
    first = min((export.stream for export in of_file), default=FIRST_STREAM)
    return straps[0] if is_reference and len(straps) == 1 else first


def misspelt(exports: Sequence[ParsedExport], card: Card, register: Register) -> Iterator[str]:
    """A sentence for each device that the card names, the register does not know, and whose file
    is of one that the register does. A new device whose file is called after it is none."""
    named = {entry.device for entry in card.recordings}
    for place, entry in enumerate(card.recordings):
        if entry.device in register.devices:
            continue
        files = [export for export in exports if entry.file in (None, export.file)]
        if any(is_named_after(export.file, entry.device) for export in files):
            continue
        known = {
            found
            for export in files
            if (found := recognised(export.file, export.identity, register))
        } - named
        by_rule = {found for export in files if (found := _by_rule(export, register))} & known
        meant = nearest(entry.device, map(str, known)) or (
            entry.file and min(map(str, by_rule), default=None)
        )
        if meant:
            where = placed(("recordings", place, "device"))
            yield (
                f"{FILE_NAME}: {where} is '{entry.device}', which config/devices.yaml does not "
                f"know; did you mean '{meant}'?"
            )


def plainness(file: str) -> tuple[int, str]:
    """The least for the plainest name: what is added to names that are there already makes them
    longer."""
    return len(file), file


def key_of(export: ParsedExport) -> tuple[str, int]:
    return export.file, export.stream


def _is_from(device: str, export: ParsedExport, register: Register) -> bool:
    """By the register's rules, or by its name."""
    return _by_rule(export, register) == device or is_named_after(export.file, device)


def recognised(file: str, identity: Identity, register: Register) -> str | None:
    """The device whose rules fit, or else the one whose name the file's name begins with."""
    by_name = [
        name
        for name, device in register.devices.items()
        if is_named_after(file, name) and not _is_of_another_product(device, identity)
    ]
    by_rule = register.recognised(file, identity.maker, identity.product)
    return by_rule or max(by_name, key=len, default=None)


def _is_of_another_product(device: Device, identity: Identity) -> bool:
    """Whether every rule of the device states a maker or product, and the file states others."""
    rules = [rule.model_copy(update={"file_name": None}) for rule in device.recognise]
    fits = (rule.fits("", identity.maker, identity.product) for rule in rules)
    by_product = bool(rules) and all(rule.maker or rule.product for rule in rules)
    return by_product and bool(identity.product) and not any(fits)


def _by_rule(export: ParsedExport, register: Register) -> str | None:
    return register.recognised(export.file, export.identity.maker, export.identity.product)


def is_named_after(file: str, device: str) -> bool:
    """grey-watch.fit and 'Grey watch (1).fit' are; greywatch.fit is not."""
    words, name = slug(Path(file).stem), slug(device)
    return words == name or words.startswith(f"{name}-")


def stem(file: str) -> str:
    """A file's name up to its first number: what follows is mostly a date. '' where it begins with
    one."""
    return re.split(r"[\d.]", file, maxsplit=1)[0].rstrip("-_ (")


def with_number(file: str) -> str:
    """Its stem with a number of one or two digits that stands right behind a letter: watch2. ''
    where it has none."""
    match = re.match(r"[^\d.]*[^\W\d_]\d{1,2}(?!\d)", file)
    return match.group() if match else ""
