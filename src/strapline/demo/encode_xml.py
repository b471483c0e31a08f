"""TCX and GPX files. Where a format demands positions they lie on the open sea."""

import datetime as dt
import math
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from strapline.demo.content import Content, whole

DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'
XSI = "http://www.w3.org/2001/XMLSchema-instance"
TCX = "http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v2"
GPX = "http://www.topografix.com/GPX/1/1"
GPX_HEART_RATE = "http://www.garmin.com/xmlschemas/TrackPointExtension/v1"

EARTH_RADIUS_M, CIRCLE_M = 6_371_009.0, 400.0
TCX_SPORTS = {"running": "Running", "cycling": "Biking", "training": "Other", "generic": "Other"}


def tcx(content: Content) -> bytes:
    """The content as TCX, one activity of one lap."""
    seconds = float(content.second[-1] - content.second[0])
    lines = [
        f'<TrainingCenterDatabase xmlns="{TCX}" xmlns:xsi="{XSI}">',
        f'<Activities><Activity Sport="{TCX_SPORTS[content.sport]}">',
        f"<Id>{_time(content.moments()[0])}</Id>",
        f'<Lap StartTime="{_time(content.moments()[0])}">',
        f"<TotalTimeSeconds>{seconds:.1f}</TotalTimeSeconds>",
        "<DistanceMeters>0</DistanceMeters><Calories>0</Calories>",
        "<Intensity>Active</Intensity><TriggerMethod>Manual</TriggerMethod>",
        "<Track>",
        *_tcx_points(content),
        "</Track></Lap>",
        f'<Creator xsi:type="Device_t"><Name>{escape(content.product)}</Name>',
        f"<UnitId>{content.serial}</UnitId><ProductID>0</ProductID>",
        "<Version><VersionMajor>1</VersionMajor><VersionMinor>0</VersionMinor></Version>",
        "</Creator></Activity></Activities></TrainingCenterDatabase>",
    ]
    return (DECLARATION + "\n".join(lines) + "\n").encode()


def gpx(content: Content) -> bytes:
    """The content as GPX 1.1, heart rate and cadence in the usual extension."""
    lines = [
        f'<gpx version="1.1" creator={quoteattr(content.product)} xmlns="{GPX}"'
        f' xmlns:hr="{GPX_HEART_RATE}">',
        f"<metadata><time>{_time(content.start)}</time></metadata>",
        f"<trk><type>{content.sport}</type><trkseg>",
        *_gpx_points(content),
        "</trkseg></trk></gpx>",
    ]
    return (DECLARATION + "\n".join(lines) + "\n").encode()


def _tcx_points(content: Content) -> Iterator[str]:
    columns = (content.moments(), content.heart_rate_bpm, content.distance_m)
    for moment, rate, metres in zip(*columns, strict=True):
        value = whole(rate)
        pulse = "" if value is None else f"<HeartRateBpm><Value>{value}</Value></HeartRateBpm>"
        gone = "" if math.isnan(metres) else f"<DistanceMeters>{metres:.2f}</DistanceMeters>"
        yield f"<Trackpoint><Time>{_time(moment)}</Time>{gone}{pulse}</Trackpoint>"


def _gpx_points(content: Content) -> Iterator[str]:
    columns = (
        content.distance_m, content.moments(), content.heart_rate_bpm, content.cadence_per_min
    )  # fmt: skip
    for metres, moment, rate, cadence in zip(*columns, strict=True):
        latitude, longitude = _at_sea(0.0 if math.isnan(metres) else metres)
        inner = _element("hr:hr", whole(rate)) + _element("hr:cad", whole(cadence / 2))
        extension = f"<hr:TrackPointExtension>{inner}</hr:TrackPointExtension>" if inner else ""
        yield (
            f'<trkpt lat="{latitude:.7f}" lon="{longitude:.7f}"><time>{_time(moment)}</time>'
            f"<extensions>{extension}</extensions></trkpt>"
        )


def _element(name: str, value: int | None) -> str:
    return "" if value is None else f"<{name}>{value}</{name}>"


def _at_sea(metres: float) -> tuple[float, float]:
    """So far on a circle of 400 m around latitude 0, longitude 0, where nobody lives."""
    angle, radius = metres / CIRCLE_M, math.degrees(CIRCLE_M / EARTH_RADIUS_M)
    return radius * math.sin(angle), radius * math.cos(angle)


def _time(moment: dt.datetime) -> str:
    return f"{moment:%Y-%m-%dT%H:%M:%S}Z"
