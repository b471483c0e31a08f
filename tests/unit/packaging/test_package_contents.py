"""What a package leaves out of a session's results."""

from io import BytesIO

import pytest

from strapline.files import write_model
from strapline.packaging.contents import results_of
from strapline.receipts import Places
from strapline.session.card import ClockNote
from strapline.session.intake import RecordingIntake, SessionIntake
from strapline.tables.recordings import SAMPLES
from strapline.tables.table import about

SERIAL = "4f1c0a"


@pytest.fixture
def places(tmp_path):
    """Results of a session that once had another recording."""
    places = Places(tmp_path / "results", tmp_path / "inbox")
    folder = places.results / "sessions" / "s"
    (folder / "recordings").mkdir(parents=True)
    recording = RecordingIntake(
        recording="watch",
        file="watch.fit",
        sha256="0",
        format="fit",
        device="watch",
        label="Watch",
        device_kind="wrist",
        role="test",
        placement="other",
        firmware=None,
        clock="utc",
        clock_note=ClockNote(),
        set_aside=None,
    )
    session = SessionIntake(
        session="s",
        title="s",
        activity="run",
        wearer="ada",
        recordings=(recording,),
        exclude=(),
        segments=(),
        conditions={},
        notes=None,
        set_aside=None,
        notices=(),
    )
    write_model(folder / "intake.json", session)
    samples = SAMPLES.from_rows([{"ordinal": 0, "heart_rate_bpm": 61}])
    for name in ("watch", "gone"):
        path = folder / "recordings" / f"{name}.parsed.parquet"
        SAMPLES.write(samples, path, file="watch.fit", serial=SERIAL)
    return places


def parsed(places, with_serials):
    """The one table of parsed samples in the package."""
    files = results_of(places, "s", with_serials)
    (file,) = [file for file in files if file.name.endswith(".parsed.parquet")]
    return file


def test_serial_numbers_go_only_along_with_raw_files(places):
    with_it, without = parsed(places, True), parsed(places, False)
    path = places.path_of(with_it.name)
    assert with_it.content == path.read_bytes()
    assert SERIAL.encode() not in without.content
    assert about(BytesIO(without.content)) == {"file": "watch.fit", "serial": None}
    assert SAMPLES.read(BytesIO(without.content)).equals(SAMPLES.read(path))


def test_what_a_session_no_longer_has_is_left_out(places):
    names = [file.name for file in results_of(places, "s", True)]
    assert names == [
        "results/sessions/s/intake.json",
        "results/sessions/s/recordings/watch.parsed.parquet",
    ]
