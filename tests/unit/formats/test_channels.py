"""Speed, power and whether a file holds positions, in each format that has them."""

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


def fit(places: list[float | None]) -> Export:
    """By another encoder: 3 m a second, 200 W and more."""
    builder = FitFileBuilder(auto_define=True)
    identity = FileIdMessage()
    identity.type = FileType.ACTIVITY
    builder.add(identity)
    for second, place in enumerate(places):
        record = RecordMessage()
        record.timestamp = START_MS + 1000 * second
        record.heart_rate = 120
        record.distance = 3.0 * second
        record.power = 200 + second
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
