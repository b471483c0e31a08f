"""What a file says of its device, from the file to the session's intake."""

import datetime as dt
import hashlib
import sys
from pathlib import Path

import fit_bytes as fb
import pytest

from strapline.ground.records.intake import RecordingIntake, read_intake
from strapline.ground.records.raw_tables import raw_name
from strapline.ground.settings import Activities, Clock, HeadingWords
from strapline.ground.tables.recordings import SAMPLES
from strapline.ground.tables.table import about
from strapline.running.stages import intake, parse

START = 1_000_000_000
# Index, type, version, source of a device; 0 is the writer, 1 and 120 a sensor over ANT+.
DEVICE = [(0, fb.UINT8, 1), (1, fb.UINT8, 1), (5, fb.UINT16, 1), (25, fb.ENUM, 1)]


OPENED: list[str] = []
sys.addaudithook(lambda event, given: OPENED.append(str(given[0])) if event == "open" else None)


def described(
    folder: Path, card: str = "", ending: str = "fit", **files: bytes
) -> tuple[RecordingIntake, ...]:
    (folder / "session.yaml").write_text(card)
    exports: dict[str, str] = {}
    for name, content in files.items():
        export = folder / f"{name}.{ending}"
        export.write_bytes(content)
        exports[str(export)] = digest = hashlib.sha256(content).hexdigest()
        parse.run(
            export=str(export),
            content=digest,
            samples=str(folder / f"{raw_name(digest)}.parquet"),
            beats=str(folder / f"{raw_name(digest)}.beats.parquet"),
            hints="{}",
            headings=HeadingWords(),
        )
    tables = [str(folder / raw_name(digest)) for digest in exports.values()]
    intake.run(
        samples=[f"{table}.parquet" for table in tables],
        beats=[f"{table}.beats.parquet" for table in tables],
        exports=exports,
        card=[str(folder / "session.yaml")] if card else [],
        intake=str(folder / "intake.json"),
        draft=str(folder / "session.draft.yaml"),
        session="s",
        title="S",
        register='{"devices": {}}',
        wearer='{"wearers": {}}',
        clock=Clock(),
        activities=Activities(),
    )
    return read_intake(folder / "intake.json").recordings


def parsed(export: Path, folder: Path, content: str) -> None:
    parse.run(
        export=str(export),
        content=content,
        samples=str(folder / "samples"),
        beats=str(folder / "beats"),
        hints="{}",
        headings=HeadingWords(),
    )


def test_a_file_that_changed_during_the_run_is_set_aside_until_the_next(tmp_path: Path) -> None:
    export = tmp_path / "watch.csv"
    export.write_text("time,heart_rate\n2026-03-01T10:00:00Z,90\n")
    then = hashlib.sha256(export.read_bytes()).hexdigest()
    for added, reason in (("", None), ("2026-03-01T10:00:01Z,91\n", parse.CHANGED)):
        with export.open("a") as file:
            file.write(added)
        parsed(export, tmp_path, then)
        assert about(tmp_path / "samples").get("set_aside") == reason
        assert len(SAMPLES.read(tmp_path / "samples")) == (0 if reason else 1)


def test_what_is_kept_is_of_the_bytes_whose_hash_is_kept(tmp_path: Path) -> None:
    export = tmp_path / "watch.csv"
    export.write_text("time,heart_rate\n2026-03-01T10:00:00Z,90\n")
    OPENED.clear()
    parsed(export, tmp_path, hashlib.sha256(export.read_bytes()).hexdigest())
    assert OPENED.count(str(export)) == 2  # here, and once by the stage


def test_device_facts_reach_the_session(tmp_path: Path) -> None:
    records = fb.records(*((START + n, 90 + n, 255) for n in range(3)))
    watch = fb.message(3, 23, DEVICE, (0, 5, 520, 5), (1, 120, 100, 1))
    found = described(tmp_path, strap=fb.fit_file(records), watch=fb.fit_file(watch, records))
    assert [recording.firmware for recording in found] == [None, "5.20"]
    told = " ".join(notice.text for notice in read_intake(tmp_path / "intake.json").notices)
    assert "It lists a heart-rate sensor connected over ANT+" in told
    assert "firmware: '5.20'" in (tmp_path / "session.draft.yaml").read_text()


LAP = [(253, fb.UINT32, 1), (2, fb.UINT32, 1)]
LAP_CARD = """\
recordings:
  - {file: strap.fit, device: strap, role: reference, clock: {marker: "0:30.5"}}
  - {file: watch.fit, device: watch, clock: {lap: %d}}
"""


def lapped(folder: Path, press: int) -> tuple[RecordingIntake, ...]:
    records = fb.records(*((START + n, 90 + n % 50, 255) for n in range(200)))
    laps = fb.message(3, 19, LAP, (START + 61, START - 2), (START + 200, START + 61))
    card = LAP_CARD % press
    return described(folder, card, strap=fb.fit_file(records), watch=fb.fit_file(records, laps))


def test_a_lap_press_and_a_stated_moment_mark_what_both_files_share(tmp_path: Path) -> None:
    assert [recording.marker_s for recording in lapped(tmp_path, 1)] == [30.5, 61]


def test_a_lap_press_that_is_not_there_is_said(tmp_path: Path) -> None:
    assert [recording.marker_s for recording in lapped(tmp_path, 3)] == [30.5, None]
    told = " ".join(notice.text for notice in read_intake(tmp_path / "intake.json").notices)
    assert "marks lap press 3 of its file, which has 1" in told


def track(kind: str, moments: list[dt.datetime]) -> bytes:
    """The moments with a heart rate each, in a format that writes them out."""
    times = [f"{moment.year:04}-{moment:%m-%dT%H:%M:%S}Z" for moment in moments]
    if kind == "csv":
        return "\n".join(["time,heart_rate", *(f"{time},90" for time in times)]).encode()
    if kind == "gpx":
        points = (f"<trkpt><time>{time}</time><hr>90</hr></trkpt>" for time in times)
        return f"<gpx><trk><trkseg>{''.join(points)}</trkseg></trk></gpx>".encode()
    rate = "<HeartRateBpm><Value>90</Value></HeartRateBpm>"
    points = (f"<Trackpoint><Time>{time}</Time>{rate}</Trackpoint>" for time in times)
    return f"<TrainingCenterDatabase>{''.join(points)}</TrainingCenterDatabase>".encode()


DAY = dt.datetime(2026, 3, 9, 10)


@pytest.mark.parametrize("kind", ["csv", "gpx", "tcx"])
@pytest.mark.parametrize(
    ("years", "told"),
    [
        ((2026, 2027), "Its clock jumps from 2026-03-09 10:00:29 to 2027-03-09 10:00:30 in mid"),
        ((9999, 9999), "Its times are of the year 9999; say when it began under clock.starts_at"),
        ((1970, 1970), "Its times go from 1970-03-09 10:00:00 on: they count from when the dev"),
    ],
)
def test_a_wrong_clock_is_the_reason_that_is_told(
    tmp_path: Path, kind: str, years: tuple[int, int], told: str
) -> None:
    moments = [DAY + dt.timedelta(seconds=second) for second in range(60)]
    wrong = [moment.replace(year=years[place >= 30]) for place, moment in enumerate(moments)]
    files = {"strap": track(kind, moments), "watch": track(kind, wrong)}
    strap, watch = described(tmp_path, ending=kind, **files)
    assert strap.set_aside is None
    assert (watch.set_aside or "").startswith(told)


def test_a_fit_clock_that_jumps_or_was_set_late_is_told(tmp_path: Path) -> None:
    year, steady = 31_536_000, [(START + n, 90, 255) for n in range(60)]
    jumps = [(time + (year if n >= 30 else 0), *rest) for n, (time, *rest) in enumerate(steady)]
    late = [(time if n >= 20 else n + 5, *rest) for n, (time, *rest) in enumerate(steady)]
    files = {
        name: fb.fit_file(fb.records(*rows))
        for name, rows in (("strap", steady), ("watch", jumps), ("band", late))
    }
    _, watch, band = described(tmp_path, **files)
    assert (watch.set_aside or "").startswith("Its clock jumps from 2021-")
    assert band.set_aside is None
    told = [notice.text for notice in read_intake(tmp_path / "intake.json").notices]
    assert any(
        "20 of the file's 60 records count from when the device was switched on" in text
        for text in told
    )
