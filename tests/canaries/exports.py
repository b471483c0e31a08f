"""Exports of one workout in every format, each of which gives away all that it can."""

import json
import math
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

from fit_tool.data_message import DataMessage
from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.device_info_message import DeviceInfoMessage
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.hrv_message import HrvMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.messages.session_message import SessionMessage
from fit_tool.profile.messages.user_profile_message import UserProfileMessage
from fit_tool.profile.profile_type import FileType, Manufacturer, Sport

from canaries.marks import MAKER, Marks, semicircles

SECONDS = 600
_HEART_RATE_SENSOR = 120  # the antplus_device_type of a strap in the FIT profile


def strap_bpm(second: int) -> int:
    return round(118 + 20 * math.sin(second / 31) + 8 * math.sin(second / 7.3))


def watch_bpm(second: int) -> int:
    return strap_bpm(max(second - 2, 0)) + (second // 11) % 5 - 2


def _intervals() -> list[list[float]]:
    """The RR intervals in s that end in each second."""
    ended: list[list[float]] = [[] for _ in range(SECONDS)]
    at = 0.0
    while (length := round(60 / strap_bpm(int(at)), 3)) + at < SECONDS:
        at += length
        ended[int(at)].append(length)
    return ended


def _moments(start: datetime) -> list[datetime]:
    return [start + timedelta(seconds=second) for second in range(SECONDS)]


def _iso(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def fit(marks: Marks, start: datetime) -> bytes:
    """A strap's activity, with RR intervals."""
    builder = FitFileBuilder(auto_define=True, min_string_size=60)
    at = [round(moment.timestamp() * 1000) for moment in _moments(start)]
    messages = [*_told_of_device(marks, at[0]), *_recorded(marks, at), _summary(marks, at)]
    for message in messages:
        builder.add(message)
    return bytes(builder.build().to_bytes())


def _told_of_device(marks: Marks, began: int) -> Iterator[DataMessage]:
    identity = FileIdMessage()
    identity.type, identity.time_created = FileType.ACTIVITY, began
    identity.manufacturer, identity.product = Manufacturer.DEVELOPMENT.value, 1
    identity.serial_number, identity.product_name = marks.serial, marks.device_name
    yield identity
    device = DeviceInfoMessage(local_id=1)
    device.timestamp, device.device_index = began, 1
    device.device_type = _HEART_RATE_SENSOR
    device.manufacturer, device.serial_number = Manufacturer.DEVELOPMENT.value, marks.serial
    device.product_name, device.descriptor = marks.device_name, marks.email
    yield device
    person = UserProfileMessage(local_id=2)
    person.friendly_name = marks.person
    yield person


def _recorded(marks: Marks, at: list[int]) -> Iterator[DataMessage]:
    beats = _intervals()
    for second, moment in enumerate(at):
        record = RecordMessage(local_id=3)
        record.timestamp, record.heart_rate = moment, strap_bpm(second)
        record.position_lat, record.position_long = marks.latitude, marks.longitude
        yield record
        for interval in beats[second]:
            ended = HrvMessage(local_id=4)
            ended.time = [interval]
            yield ended


def _summary(marks: Marks, at: list[int]) -> DataMessage:
    session = SessionMessage(local_id=5)
    session.timestamp, session.start_time = at[-1], at[0]
    session.total_elapsed_time = session.total_timer_time = float(SECONDS)
    session.start_position_lat, session.start_position_long = marks.latitude, marks.longitude
    session.sport, session.sport_profile_name = Sport.RUNNING, f"{marks.person} running"
    return session


def tcx(marks: Marks, start: datetime) -> bytes:
    where = (
        f"<Position><LatitudeDegrees>{marks.latitude}</LatitudeDegrees>"
        f"<LongitudeDegrees>{marks.longitude}</LongitudeDegrees></Position>"
    )
    points = "".join(
        f"<Trackpoint><Time>{_iso(moment)}</Time>{where}"
        f"<HeartRateBpm><Value>{watch_bpm(second)}</Value></HeartRateBpm></Trackpoint>"
        for second, moment in enumerate(_moments(start))
    )
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<TrainingCenterDatabase xmlns="http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v2"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><Activities><Activity Sport="Running">
<Id>{_iso(start)}</Id><Lap StartTime="{_iso(start)}"><TotalTimeSeconds>{SECONDS}</TotalTimeSeconds>
<Track>{points}</Track></Lap>
<Notes>{marks.person}, {marks.email}, {marks.degrees_and_minutes}</Notes>
<Creator xsi:type="Device_t"><Name>{marks.device_name}</Name><UnitId>{marks.serial}</UnitId>
<ProductID>7</ProductID></Creator></Activity></Activities>
<Author><Name>{marks.person}</Name></Author></TrainingCenterDatabase>
""".encode()


def gpx(marks: Marks, start: datetime) -> bytes:
    points = "".join(
        f'<trkpt lat="{marks.latitude}" lon="{marks.longitude}"><time>{_iso(moment)}</time>'
        f"<extensions><e:TrackPointExtension><e:hr>{watch_bpm(second)}</e:hr>"
        "</e:TrackPointExtension></extensions></trkpt>"
        for second, moment in enumerate(_moments(start))
    )
    local, _, domain = marks.email.partition("@")
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="{marks.device_name}" xmlns="http://www.topografix.com/GPX/1/1"
 xmlns:e="http://www.garmin.com/xmlschemas/TrackPointExtension/v1">
<metadata><name>{marks.person}'s run</name><desc>{marks.degrees_and_minutes}</desc>
<author><name>{marks.person}</name><email id="{local}" domain="{domain}"/></author>
<extensions><serialNumber>{marks.serial}</serialNumber></extensions></metadata>
<trk><name>{marks.person}'s run</name><src>{marks.device_name}</src><type>running</type>
<trkseg>{points}</trkseg></trk></gpx>
""".encode()


def json_text(marks: Marks, start: datetime) -> bytes:
    samples = [
        {
            "time": _iso(moment),
            "heartRate": watch_bpm(second),
            "latitude": marks.latitude,
            "longitude": marks.longitude,
            "positionLat": semicircles(marks.latitude),
            "positionLong": semicircles(marks.longitude),
        }
        for second, moment in enumerate(_moments(start))
    ]
    return json.dumps(
        {
            "athlete": {"name": marks.person, "email": marks.email},
            "title": f"{marks.person}'s run",
            "sport": "running",
            "start": marks.degrees_and_minutes,
            "device": {
                "manufacturer": MAKER,
                "name": marks.device_name,
                "serialNumber": marks.serial,
            },
            "samples": samples,
        }
    ).encode()


def csv_text(marks: Marks, start: datetime) -> bytes:
    given = (
        f"{marks.latitude},{marks.longitude},{semicircles(marks.latitude)},"
        f"{marks.degrees_and_minutes},{marks.serial},{marks.person},{marks.email},"
        f"{marks.device_name},running"
    )
    rows = [
        f"{_iso(moment)},{watch_bpm(second)},{given}"
        for second, moment in enumerate(_moments(start))
    ]
    heading = (
        "time,heart_rate,latitude,longitude,position_lat,position,serial_number,athlete,email,"
        "device,activity"
    )
    return "\n".join([heading, *rows, ""]).encode()


def unreadable(marks: Marks, start: datetime) -> bytes:
    """A table in whose headings and rows a complaint could quote something."""
    heading = f"{marks.person}'s day,{marks.device_name} {marks.serial},{marks.email}"
    row = f"{marks.latitude};{marks.person};{marks.degrees_and_minutes}"
    return "\n".join([heading, row, _iso(start)]).encode()


FORMATS: dict[str, Callable[[Marks, datetime], bytes]] = {
    "fit": fit,
    "tcx": tcx,
    "gpx": gpx,
    "json": json_text,
    "csv": csv_text,
    "txt": unreadable,
}
