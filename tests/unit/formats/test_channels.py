"""Speed, power and whether a file holds positions, in each format that has them."""

import json
from pathlib import Path

import numpy as np
import pytest
from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.profile_type import FileType

from strapline.reading.formats import export_in, read_export
from strapline.reading.formats.export import Export

START_MS = 1_717_000_000_000
TIMES = [f"2024-05-31T10:00:0{second}Z" for second in range(4)]


def fit(
    places: list[float | None], distances: bool = True, speed_field: str | None = None
) -> Export:
    """By another encoder: 3 m a second, 200 W and more."""
    builder = FitFileBuilder(auto_define=True)
    identity = FileIdMessage()
    identity.type = FileType.ACTIVITY
    builder.add(identity)
    for second, place in enumerate(places):
        record = RecordMessage()
        record.timestamp = START_MS + 1000 * second
        record.heart_rate = 120
        if distances:
            record.distance = 3.0 * second
        record.power = 200 + second
        if speed_field:
            setattr(record, speed_field, 2.5)
        if place is not None:
            record.position_lat, record.position_long = place, 8.0
        builder.add(record)
    return export_in(builder.build().to_bytes())


def tcx(points: str) -> Export:
    return export_in(f"<TrainingCenterDatabase>{points}</TrainingCenterDatabase>".encode())


def gpx(points: str) -> Export:
    return export_in(f"<gpx><trk><trkseg>{points}</trkseg></trk></gpx>".encode())


def test_fit_tells_speed_by_distance_and_power() -> None:
    samples = fit([50.0, 50.1, 50.2, 50.3]).samples
    assert samples["speed_m_s"].tolist() == [3.0] * 4
    assert samples["power_w"].tolist() == [200, 201, 202, 203]


@pytest.mark.parametrize("field", ["speed", "enhanced_speed"])
def test_fit_tells_the_speed_that_it_states_where_it_has_nothing_else(field: str) -> None:
    assert fit([None] * 3, distances=False, speed_field=field).samples["speed_m_s"].tolist() == (
        [2.5] * 3
    )
    assert fit([None] * 3, speed_field=field).samples["speed_m_s"].tolist() == [3.0] * 3


@pytest.mark.parametrize(
    ("places", "under_way"),
    [([50.0, 50.1], True), ([50.0, 50.0], False), ([None, None], False), ([None, 50.0], False)],
)
def test_positions_that_change_are_told_and_not_kept(
    places: list[float | None], under_way: bool
) -> None:
    export = fit(places)
    assert export.satellite is under_way
    assert not export.samples.isin([50.0, 50.1]).any().any()


def test_fit_tells_speed_by_its_positions_where_it_has_no_distance() -> None:
    """1e-5 degrees of a meridian a second: 1.11 m/s; the places themselves are not kept."""
    places = [50 + second * 1e-5 for second in range(4)]
    samples = fit(places, distances=False).samples
    np.testing.assert_allclose(samples["speed_m_s"], 1.112, atol=0.02)
    numbers = samples.select_dtypes("number").to_numpy(dtype=float)
    assert not ((numbers > 49.9) & (numbers < 50.1)).any()
    assert not ((numbers > 7.9) & (numbers < 8.1)).any()


@pytest.mark.parametrize(
    ("heading", "cells", "speed"),
    [
        ("speed", "3.5", 3.5),
        ("Speed (m/s)", "3.5", 3.5),
        ("speed_m_s", "3.5", 3.5),
        ("enhanced_speed", "3.5", 3.5),
        ("speedKmh", "36", 10.0),
        ("Geschwindigkeit [km/h]", "36", 10.0),
        ("Hastighet (km/t)", "36", 10.0),
        ("Snelheid (km/u)", "36", 10.0),
        ("Speed (mph)", "10", 4.4704),
        ("avg speed", "3.5", None),
        ("speed zone", "3", None),
    ],
)
def test_a_table_tells_speed_in_its_unit(heading: str, cells: str, speed: float | None) -> None:
    rows = "".join(f"{time},{120 + n},{cells}\n" for n, time in enumerate(TIMES))
    samples = export_in(f"time,heart rate,{heading}\n{rows}".encode()).samples
    assert samples["heart_rate_bpm"].tolist() == [120, 121, 122, 123]
    if speed is None:
        assert samples["speed_m_s"].isna().all()
    else:
        np.testing.assert_allclose(samples["speed_m_s"], speed)


@pytest.mark.parametrize(("heading", "metres"), [("distance", 1), ("Distance (km)", 1000)])
def test_a_table_without_speed_tells_it_by_the_distance(heading: str, metres: int) -> None:
    rows = "".join(f"{time},120,{2.5 * n / metres}\n" for n, time in enumerate(TIMES))
    samples = export_in(f"time,heart rate,{heading}\n{rows}".encode()).samples
    np.testing.assert_allclose(samples["speed_m_s"], 2.5)


def test_a_table_tells_power_and_json_the_same() -> None:
    rows = "".join(f"{time},120,3,{200 + n}\n" for n, time in enumerate(TIMES))
    table = export_in(f"time,heart rate,speed,power (W)\n{rows}".encode()).samples
    points = [
        {"time": time, "heartRate": 120, "speed": 3.0, "power": 200 + n}
        for n, time in enumerate(TIMES)
    ]
    listed = export_in(json.dumps(points).encode()).samples
    for samples in (table, listed):
        assert samples["power_w"].tolist() == [200, 201, 202, 203]
        assert samples["speed_m_s"].tolist() == [3.0] * 4


def test_tcx_tells_speed_by_distance_and_power() -> None:
    points = "".join(
        f"<Trackpoint><Time>{time}</Time><Position><LatitudeDegrees>{50 + second}</LatitudeDegrees>"
        f"<LongitudeDegrees>8</LongitudeDegrees></Position><DistanceMeters>{4 * second}"
        "</DistanceMeters><HeartRateBpm><Value>120</Value></HeartRateBpm><Extensions>"
        f"<x:TPX xmlns:x='urn:x'><x:Watts>{150 + second}</x:Watts></x:TPX></Extensions>"
        "</Trackpoint>"
        for second, time in enumerate(TIMES)
    )
    export = tcx(points)
    assert export.samples["speed_m_s"].tolist() == [4.0] * 4
    assert export.samples["power_w"].tolist() == [150, 151, 152, 153]
    assert export.satellite


def test_tcx_tells_the_speed_that_it_states_where_it_has_nothing_else() -> None:
    points = "".join(
        f"<Trackpoint><Time>{time}</Time><HeartRateBpm><Value>120</Value></HeartRateBpm>"
        "<Extensions><x:TPX xmlns:x='urn:x'><x:Speed>2.5</x:Speed></x:TPX></Extensions>"
        "</Trackpoint>"
        for time in TIMES
    )
    assert tcx(points).samples["speed_m_s"].tolist() == [2.5] * 4


def test_gpx_tells_speed_by_its_positions() -> None:
    """1e-5 degrees of a meridian a second: 1.11 m/s."""
    points = "".join(
        f"<trkpt lat='{50 + second * 1e-5}' lon='8'><time>{time}</time><extensions><hr>120</hr>"
        "<power>99</power></extensions></trkpt>"
        for second, time in enumerate(TIMES)
    )
    export = gpx(points)
    np.testing.assert_allclose(export.samples["speed_m_s"], 1.112, atol=0.002)
    assert export.samples["power_w"].tolist() == [99] * 4
    assert export.satellite


def test_a_track_without_places_has_no_speed() -> None:
    export = tcx(
        "".join(
            f"<Trackpoint><Time>{time}</Time><HeartRateBpm><Value>120</Value></HeartRateBpm>"
            "</Trackpoint>"
            for time in TIMES
        )
    )
    assert export.samples[["speed_m_s", "power_w"]].isna().all().all()
    assert not export.satellite


def test_one_ride_in_three_formats_has_one_speed(real_recordings: Path) -> None:
    """By distance from FIT and TCX, by positions from GPX; the median of their differences."""
    speeds = [
        read_export(real_recordings / f"same_ride/ride.{name}")
        .samples.dropna(subset=["speed_m_s"])
        .drop_duplicates("time")
        .set_index("time")["speed_m_s"]
        for name in ("fit", "tcx", "gpx")
    ]
    for other in speeds[1:]:
        apart = (other - speeds[0]).dropna().abs()
        assert len(apart) > 5000
        assert apart.median() < 0.2
