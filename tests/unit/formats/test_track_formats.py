import io
from pathlib import Path

import numpy as np
import pytest

from strapline.reading.formats import UnreadableExport, read_export, read_identity
from strapline.reading.formats.xml_elements import XmlStream

TCX = """<?xml version="1.0"?>
<TrainingCenterDatabase xmlns="urn:any" xmlns:x="urn:extension"><Activities>
 <Activity Sport="Running"><Lap>
  <AverageHeartRateBpm><Value>999</Value></AverageHeartRateBpm>
  <Track>
   <Trackpoint><Time>2024-05-31T10:00:00{zone}</Time>
    <Position><LatitudeDegrees>12.345</LatitudeDegrees></Position>
    <HeartRateBpm><Value>0</Value></HeartRateBpm><Cadence>79</Cadence></Trackpoint>
   <Trackpoint><Time>2024-05-31T10:00:01.5{zone}</Time>
    <HeartRateBpm><Value>121</Value></HeartRateBpm>
    <Extensions><x:TPX><x:RunCadence>80</x:RunCadence></x:TPX></Extensions></Trackpoint>
   <Trackpoint><Time>2024-05-31T10:00:03{zone}</Time>
    <Extensions><x:Value>5</x:Value></Extensions></Trackpoint>
  </Track></Lap>
  <Creator><Name>Widget</Name><UnitId>987654321</UnitId></Creator>
 </Activity></Activities></TrainingCenterDatabase>"""

GPX = """<?xml version="1.0"?>
<gpx creator="Anyone" xmlns="urn:any" xmlns:e="urn:{version}"><metadata><type>no</type></metadata>
 <trk><type>cycling</type><trkseg>
  <trkpt lat="12.345" lon="3.4"><time>2024-05-31T10:00:00Z</time>
   <extensions><e:TrackPointExtension><e:{word}>121</e:{word}><e:cad>80</e:cad>
   </e:TrackPointExtension></extensions></trkpt>
  <trkpt lat="12.345" lon="3.4"><time>2024-05-31T12:00:01+02:00</time></trkpt>
 </trkseg></trk></gpx>"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "session.csv"  # the name says nothing


def test_tcx_trackpoints_are_samples_and_lap_averages_are_not(file: Path) -> None:
    file.write_text(TCX.format(zone="Z"))
    export = read_export(file)
    assert (export.format, export.clock) == ("tcx", "utc")
    identity = read_identity(file)
    assert (identity.sport, identity.product, identity.listed) == ("Running", "Widget", None)
    heart_rates = export.samples["heart_rate_bpm"]
    assert heart_rates[:2].tolist() == [0, 121]
    assert np.isnan(heart_rates[2])
    assert export.samples["cadence_per_min"][:2].tolist() == [79, 160]
    times = export.samples["time"].dt.strftime("%H:%M:%S.%f").str[:-3].tolist()
    assert times == ["10:00:00.000", "10:00:01.500", "10:00:03.000"]
    assert "12.345" not in repr(export)


def test_tcx_laps_begin_where_the_file_says(file: Path) -> None:
    starts = ('<Lap StartTime="2024-05-31T10:00:00Z">', '<Lap StartTime="2024-05-31T10:00:02Z"/>')
    file.write_text(TCX.format(zone="Z").replace("<Lap>", starts[1] + starts[0]))
    assert np.diff(read_export(file).lap_starts_ms).tolist() == [-2000]


def test_tcx_without_a_zone_is_local(file: Path) -> None:
    file.write_text(TCX.format(zone=""))
    export = read_export(file)
    assert export.clock == "local"
    assert export.samples["time"][0].strftime("%H:%M %Z") == "10:00 UTC"


@pytest.mark.parametrize(("version", "word"), [("v1", "hr"), ("v2", "hr"), ("else", "heartrate")])
def test_gpx_heart_rate_is_found_in_any_extension(file: Path, version: str, word: str) -> None:
    file.write_text(GPX.format(version=version, word=word))
    export = read_export(file)
    assert (export.format, export.clock) == ("gpx", "utc")
    assert (read_identity(file).maker, read_identity(file).sport) == ("Anyone", "cycling")
    assert export.samples["heart_rate_bpm"].fillna(-1).tolist() == [121, -1]
    assert export.samples["cadence_per_min"].fillna(-1).tolist() == [80, -1]
    assert export.samples["time"].diff().dt.total_seconds()[1] == 1


def test_a_prefix_that_is_not_declared_breaks_nothing(file: Path) -> None:
    text = GPX.format(version="v1", word="hr").replace(' xmlns:e="urn:v1"', "")
    file.write_text(text)
    export = read_export(file)
    assert (len(export.samples), export.remarks) == (2, ())
    assert export.samples["heart_rate_bpm"][0] == 121


def test_tracks_recorded_at_one_time_are_streams(file: Path) -> None:
    def track(base: int, start: int) -> str:
        points = "".join(
            f"<trkpt><time>2024-05-31T10:{start:02}:{n:02}Z</time><hr>{base + n % 9}</hr></trkpt>"
            for n in range(60)
        )
        return f"<trk><trkseg>{points}</trkseg></trk>"

    file.write_text(f"<gpx>{track(90, 0)}{track(140, 0)}{track(90, 1)}</gpx>")
    export = read_export(file)
    assert len(export.streams) == 2
    counts = export.samples.groupby("stream")["heart_rate_bpm"].agg(["size", "min"])
    assert counts.to_numpy().tolist() == [[120, 90], [60, 140]]
    file.write_text(f"<gpx>{track(90, 0)}{track(140, 1)}</gpx>")
    assert read_export(file).streams == ()


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "latin-1"])
def test_xml_is_recognised_in_any_encoding(file: Path, encoding: str) -> None:
    stated = encoding.replace("-sig", "")
    text = GPX.format(version="v1", word="hr").replace("?>", f' encoding="{stated}"?>', 1)
    file.write_bytes(text.replace("Anyone", "Añyone").encode(encoding))
    assert len(read_export(file).samples) == 2
    assert read_identity(file).maker == "Añyone"


def test_blank_lines_before_the_xml_are_forgiven(file: Path) -> None:
    file.write_text("\n\n  " + GPX.format(version="v1", word="hr"))
    assert len(read_export(file).samples) == 2


@pytest.mark.parametrize("text", [TCX.format(zone="Z"), GPX.format(version="v1", word="hr")])
def test_xml_cut_anywhere_gives_what_came_before_or_a_reason(file: Path, text: str) -> None:
    whole = text.encode()
    counts = []
    for length in range(1, len(whole)):
        file.write_bytes(whole[:length])
        try:
            export = read_export(file)
        except UnreadableExport as reason:
            assert str(reason).endswith(".")
            counts.append(0)
        else:
            counts.append(len(export.samples))
            assert export.broken_off.startswith("The file breaks off after ")
    assert counts == sorted(counts)
    assert counts[-1] == whole.count(b"<time>") + whole.count(b"<Time>")


def test_what_was_read_is_forgotten() -> None:
    points = "<trkpt><time/></trkpt><wpt><name/></wpt>" * 10_000
    stream = XmlStream(io.BytesIO(f"<gpx><trk>{points}</trk></gpx>".encode()), {"gpx"}, {"trkpt"})
    elements = [element for _, element in stream]
    assert len(elements) == 10_001
    assert sum(1 for _ in elements[0].iter()) <= 2


def test_entities_are_refused(file: Path) -> None:
    bomb = '<!DOCTYPE gpx [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><gpx><trk>&b;</trk></gpx>'
    file.write_text(f'<?xml version="1.0"?>{bomb}')
    with pytest.raises(UnreadableExport, match="entities"):
        read_export(file)


def test_xml_without_end_of_depth_is_refused(file: Path) -> None:
    file.write_text("<gpx>" + "<a>" * 100_000)
    with pytest.raises(UnreadableExport, match="too deep"):
        read_export(file)


@pytest.mark.parametrize("text", ["<html><body/></html>", "<gpx></gpx>", "<gpx><trkpt/></gpx>"])
def test_xml_that_is_no_recording_is_refused(file: Path, text: str) -> None:
    file.write_text(text)
    with pytest.raises(UnreadableExport):
        read_export(file)


def test_versions_and_offsets_are_told(file: Path) -> None:
    parts = (
        "<VersionMajor>12</VersionMajor><VersionMinor>3</VersionMinor><BuildMajor>0</BuildMajor>"
    )
    creator = f"<Creator><Version>{parts}</Version>"
    file.write_text(TCX.format(zone="+02:00").replace("<Creator>", creator))
    export = read_export(file)
    assert (export.firmware, export.utc_offset_s) == ("12.3", 7200)
    assert "987654321" not in repr(export)
    file.write_text(GPX.format(version="v1", word="hr").replace("Anyone", "Any App v4.2.1"))
    export = read_export(file)
    # GPX 1.1 names the program that wrote the file, which need not be the device's own.
    assert (read_identity(file).maker, export.firmware) == ("Any App v4.2.1", None)
    assert export.utc_offset_s is None


def test_what_the_file_says_of_itself_can_be_printed(file: Path) -> None:
    name = f"{'x' * 500}&#x202e;&#10;&lt;script&gt;"
    file.write_text(GPX.format(version="v1", word="hr").replace("Anyone", name))
    maker = read_identity(file).maker
    assert maker is not None
    assert maker.isprintable()
    assert len(maker) <= 120
