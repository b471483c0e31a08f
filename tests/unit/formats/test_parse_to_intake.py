"""What a file says of its device, from the file to the session's intake."""

import hashlib
from pathlib import Path

import fit_bytes as fb

from strapline.session.intake import RecordingIntake, read_intake
from strapline.session.raw_tables import raw_name
from strapline.settings import Activities, Clock, HeadingWords
from strapline.steps import intake, parse
from strapline.tables.recordings import SAMPLES
from strapline.tables.table import about

START = 1_000_000_000
# Index, type, version, source of a device; 0 is the writer, 1 and 120 a sensor over ANT+.
DEVICE = [(0, fb.UINT8, 1), (1, fb.UINT8, 1), (5, fb.UINT16, 1), (25, fb.ENUM, 1)]


def described(folder: Path, card: str = "", **files: bytes) -> tuple[RecordingIntake, ...]:
    (folder / "session.yaml").write_text(card)
    exports: dict[str, str] = {}
    for name, content in files.items():
        export = folder / f"{name}.fit"
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
        clock=Clock(),
        activities=Activities(),
    )
    return read_intake(folder / "intake.json").recordings


def test_a_file_that_changed_during_the_run_is_set_aside_until_the_next(tmp_path: Path) -> None:
    export = tmp_path / "watch.csv"
    export.write_text("time,heart_rate\n2026-03-01T10:00:00Z,90\n")
    then = hashlib.sha256(export.read_bytes()).hexdigest()
    for added, reason in (("", None), ("2026-03-01T10:00:01Z,91\n", parse.CHANGED)):
        with export.open("a") as file:
            file.write(added)
        parse.run(
            export=str(export),
            content=then,
            samples=str(tmp_path / "samples"),
            beats=str(tmp_path / "beats"),
            hints="{}",
            headings=HeadingWords(),
        )
        assert about(tmp_path / "samples").get("set_aside") == reason
        assert len(SAMPLES.read(tmp_path / "samples")) == (0 if reason else 1)


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
