"""What a file says of its device and its sport, read for deciding and not for keeping."""

from dataclasses import dataclass
from functools import cache
from typing import BinaryIO

from fitdecode.profile import FIELD_TYPES

from strapline.reading.formats import gpx, tcx
from strapline.reading.formats.export import UnreadableExport, printable
from strapline.reading.formats.fit_device import DEVICE_FIELDS, FitDevice
from strapline.reading.formats.fit_messages import FitStream, is_fit
from strapline.reading.formats.xml_elements import XmlStream, root_name, text_of

# All that TCX knows (Training Center Database v2, type Sport_t).
TCX_SPORTS = frozenset({"running", "biking", "other"})


@dataclass(frozen=True)
class Identity:
    """Whose recording a file is, by its own words.

    Apart from `listed` and `unlisted`, all of it may hold a person's name or a number that
    leads to one: use it in memory, and keep none of it.

    maker, product, serial
        As the file has them.
    listed
        The device as the FIT profile lists it, or None: words that are nobody's own.
    unlisted
        The numbers of maker and product where the profile does not list the product.
    sport
        The file's word for the activity.
    """

    maker: str | None = None
    product: str | None = None
    serial: str | None = None
    listed: str | None = None
    unlisted: tuple[int, int] | None = None
    sport: str | None = None


def identity_in(file: BinaryIO) -> Identity:
    """The identity that an unpacked export states. Raises UnreadableExport where it states none."""
    if is_fit(file):
        return _of_fit(file.read())
    if (read := _OF_XML.get(root_name(file) or "")) is not None:
        return read(file)
    raise UnreadableExport("The file does not say which device it is from.")


def _of_fit(data: bytes) -> Identity:
    device = FitDevice()
    for message in filter(None, FitStream(data, DEVICE_FIELDS)):
        device.take(message)
    return Identity(
        maker=_line(device.maker),
        product=_line(device.product),
        serial=device.serial,
        listed=device.listed,
        unlisted=None if device.listed else device.unlisted,
        sport=_line(next(iter(device.sports), None)),
    )


def _of_tcx(file: BinaryIO) -> Identity:
    product = serial = sport = None
    for _, element in XmlStream(file, openings={"Activity"}, wholes={"Creator"}):
        if element.tag == "Activity":
            sport = sport or element.get("Sport")
        else:
            product = product or _line(text_of(element, "Name"))
            serial = serial or text_of(element, "UnitId")
    return Identity(product=product, serial=serial, listed=_listed(product), sport=_line(sport))


def _of_gpx(file: BinaryIO) -> Identity:
    maker = sport = None
    for parent, element in XmlStream(file, openings={"gpx", "trkseg"}, wholes={"type"}):
        match element.tag:
            case "gpx":
                maker = _line(element.get("creator"))
            case "type" if parent == "trk":
                sport = sport or _line(element.text)
            case "trkseg":
                break
    return Identity(maker=maker, listed=_listed(maker), sport=sport)


_OF_XML = {tcx.ROOT: _of_tcx, gpx.ROOT: _of_gpx}


def _listed(text: str | None) -> str | None:
    return text if text and is_maker_or_product(text) else None


def rule_of(identity: Identity) -> str | None:
    """How a register would recognise the device, as it stands in YAML, if words and numbers of the
    FIT profile are enough for it."""
    if not has_known_rule(identity):
        return None
    return f"[{{maker: '{identity.maker}', product: '{identity.product}'}}]"


def has_known_rule(identity: Identity) -> bool:
    """Whether maker and product are words or numbers of the FIT profile, and so nobody's own."""
    words = (identity.maker, identity.product)
    is_told = bool(identity.listed or identity.unlisted)
    return is_told and all(
        word and (word.isdecimal() or is_maker_or_product(word)) for word in words
    )


def _line(text: str | None) -> str | None:
    return (printable(text) or None) if text else None


def is_maker_or_product(text: str) -> bool:
    names = [name for name in FIELD_TYPES if name == "manufacturer" or name.endswith("_product")]
    return _bare(text) in _words_of(*names)


def is_sport(text: str) -> bool:
    return _bare(text) in _words_of("sport", "sub_sport") | TCX_SPORTS


@cache
def _words_of(*types: str) -> frozenset[str]:
    return frozenset(_bare(word) for name in types for word in FIELD_TYPES[name].enum.values())


def _bare(text: str) -> str:
    return "".join(filter(str.isalnum, str(text).casefold()))
