"""GPX: tracks as XML."""

from typing import BinaryIO

from strapline.reading.formats.export import Export, Hints
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.numbers import number
from strapline.reading.formats.track import Track
from strapline.reading.formats.xml_elements import XmlStream, first_of, root_name, text_of

ROOT = "gpx"


def recognises(file: BinaryIO, _words: Headings) -> bool:
    return root_name(file) == ROOT


def read(file: BinaryIO, _words: Headings, _hints: Hints) -> Export:
    """Every trkpt of a GPX file, with heart rate and cadence from whichever extension has them.

    Cadence is as stated: programs differ in whether they write strides or steps of a run.
    Raises UnreadableExport where no sample can be read.
    """
    track = Track()
    stream = XmlStream(file, openings={"trk"}, wholes={"trkpt"})
    for _, element in stream:
        if element.tag == "trk":
            track.begin()
            continue
        heart_rate = first_of(element, "hr", "heartrate", "HeartRate", "heart_rate")
        cadence = first_of(element, "cad", "cadence", "Cadence")
        track.add(
            text_of(element, "time"),
            heart_rate,
            cadence=number(cadence),
            power=number(first_of(element, "power", "PowerInWatts", "watts")),
            place=(number(element.get("lat")), number(element.get("lon"))),
        )
    return track.export("gpx", stream.is_broken)
