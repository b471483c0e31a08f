"""FIT activity files, with RR intervals where the content has them."""

import copy
import datetime as dt
import math
from collections.abc import Iterator
from typing import Any

import numpy as np
from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.activity_message import ActivityMessage
from fit_tool.profile.messages.device_info_message import DeviceInfoMessage
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.hrv_message import HrvMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.messages.session_message import SessionMessage
from fit_tool.profile.profile_type import Activity, FileType, Manufacturer, Sport

from strapline.demo.content import Content, whole

SPORTS = {
    "running": Sport.RUNNING,
    "cycling": Sport.CYCLING,
    "training": Sport.TRAINING,
    "generic": Sport.GENERIC,
}
RECORD, INTERVALS, OTHER = 0, 1, 2
INTERVALS_A_MESSAGE = 5
NO_RATE = 0xFF
NO_INTERVAL_S = 65.535


def fit(content: Content) -> bytes:
    """The content as a FIT activity; intervals follow the record of the second they end in."""
    builder = FitFileBuilder()
    for message in _messages(content):
        builder.add(message)
    return bytes(builder.build_bytes())


def _messages(content: Content) -> Iterator[Any]:
    start, moments = _milliseconds(content.start), content.moments()
    seconds = float(content.second[-1] - content.second[0])
    device = {
        "manufacturer": Manufacturer.DEVELOPMENT.value,
        "serial_number": content.serial,
        "product_name": content.product,
    }
    yield _message(FileIdMessage, type=FileType.ACTIVITY, product=0, time_created=start, **device)
    yield _message(DeviceInfoMessage, timestamp=start, device_index=0, **device)
    yield from _records(content)
    yield _message(
        SessionMessage,
        timestamp=_milliseconds(moments[-1]),
        start_time=_milliseconds(moments[0]),
        total_elapsed_time=seconds,
        total_timer_time=seconds,
        sport=SPORTS[content.sport],
    )
    yield _message(
        ActivityMessage,
        timestamp=_milliseconds(moments[-1]),
        num_sessions=1,
        type=Activity.MANUAL,
    )


def _message(kind: Any, **values: Any) -> Any:
    message = kind(local_id=OTHER)
    for name, value in values.items():
        setattr(message, name, value)
    return message


def _records(content: Content) -> Iterator[Any]:
    blank, blank_intervals = _blank_record(content), HrvMessage(local_id=INTERVALS)
    last_interval = np.searchsorted(content.beat_s, content.second, side="right").tolist()
    done = 0
    samples = zip(
        content.moments(), content.heart_rate_bpm, content.cadence_per_min, content.distance_m,
        last_interval, strict=True,
    )  # fmt: skip
    for moment, rate, cadence, metres, until in samples:
        record = copy.deepcopy(blank)
        record.timestamp = _milliseconds(moment)
        record.heart_rate = NO_RATE if math.isnan(rate) else whole(rate)
        if not math.isnan(cadence):
            # FIT counts strides: both legs make one.
            record.cadence = round(cadence / 2)
        if not math.isnan(metres):
            record.distance = metres
        yield record
        for first in range(done, until, INTERVALS_A_MESSAGE):
            last = min(first + INTERVALS_A_MESSAGE, until)
            yield _intervals(blank_intervals, content.rr_ms[first:last].tolist())
        done = until


def _blank_record(content: Content) -> Any:
    """A record with no other fields than are used.

    Making all 84 fields of a record anew is nine tenths of the time a file takes.
    """
    record = RecordMessage(local_id=RECORD)
    wanted = {"timestamp", "heart_rate"}
    if not np.isnan(content.cadence_per_min).all():
        wanted.add("cadence")
    if not np.isnan(content.distance_m).all():
        wanted.add("distance")
    record.fields = [field for field in record.fields if field.name in wanted]
    return record


def _intervals(blank: Any, intervals_ms: list[float]) -> Any:
    message = copy.deepcopy(blank)
    seconds = [interval / 1000 for interval in intervals_ms]
    message.time = seconds + [NO_INTERVAL_S] * (INTERVALS_A_MESSAGE - len(seconds))
    return message


def _milliseconds(moment: dt.datetime) -> int:
    """Milliseconds since 1970, to the nearest second, which is all that FIT stores."""
    return round(moment.timestamp()) * 1000
