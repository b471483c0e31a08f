"""TCX: training sessions as XML."""

from typing import BinaryIO
from xml.etree.ElementTree import Element

from strapline.reading.formats.export import Export, Hints
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.numbers import number
from strapline.reading.formats.track import Track
from strapline.reading.formats.xml_elements import XmlStream, first_of, root_name, text_of

ROOT = "TrainingCenterDatabase"
_VERSION_PARTS = ("VersionMajor", "VersionMinor", "BuildMajor", "BuildMinor")


def recognises(file: BinaryIO, _words: Headings) -> bool:
    return root_name(file) == ROOT


def read(file: BinaryIO, _words: Headings, _hints: Hints) -> Export:
    """Every Trackpoint of a TCX file; averages of laps are no samples.

    Cadence is in turns a minute, or in steps a minute where the file gives a running cadence.
    Raises UnreadableExport where no sample can be read.
    """
    track = Track()
    stream = XmlStream(file, openings={"Lap", "Activity"}, wholes={"Trackpoint", "Creator"})
    for _, element in stream:
        match element.tag:
            case "Activity":
                track.begin()
            case "Lap":
                track.lap_starts.append(element.get("StartTime"))
            case "Trackpoint":
                track.add(
                    text_of(element, "Time"),
                    text_of(element, "HeartRateBpm/Value"),
                    cadence=_cadence(element),
                    distance=number(text_of(element, "DistanceMeters")),
                    power=number(first_of(element, "Watts")),
                    speed=number(first_of(element, "Speed")),
                    place=(
                        number(first_of(element, "LatitudeDegrees")),
                        number(first_of(element, "LongitudeDegrees")),
                    ),
                )
            case "Creator":
                track.firmware = track.firmware or _version(element)
    return track.export("tcx", stream.is_broken)


def _cadence(trackpoint: Element) -> float:
    strides = text_of(trackpoint, "RunCadence")
    if strides is not None:
        return 2 * number(strides)  # TCX counts strides, two steps each
    return number(text_of(trackpoint, "Cadence"))


def _version(creator: Element) -> str | None:
    """The version's parts as one number, without those that are 0 at its end; None where one is
    no unsigned short, as the schema of TCX wants it: such a text could be anything."""
    parts = [text_of(creator, name) or "0" for name in _VERSION_PARTS]
    if not all(part.isdecimal() and len(part) <= 5 for part in parts):
        return None
    while parts and parts[-1] == "0":
        parts.pop()
    return ".".join(parts) or None
