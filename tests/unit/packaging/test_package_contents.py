"""What a package leaves out of a session's results."""

import pytest

from intakes import recording, session
from strapline.ground.files import write_model
from strapline.ground.tables.recordings import SAMPLES
from strapline.keeping.packaging.package import results_of
from strapline.keeping.receipts import Places

RAW = "0123456789abcdef"


@pytest.fixture
def places(tmp_path):
    """Results of a session that once had another file."""
    places = Places(tmp_path / "results", tmp_path / "inbox")
    folder = places.results / "sessions" / "s"
    (folder / "raw").mkdir(parents=True)
    write_model(folder / "intake.json", session(recording(raw=RAW), name="s"))
    for name in (RAW, "f" * 16):
        SAMPLES.write(SAMPLES.empty(), folder / "raw" / f"{name}.parquet")
    return places


def test_what_a_session_no_longer_has_is_left_out(places):
    names = [file.name for file in results_of(places, "s")]
    assert names == ["results/sessions/s/intake.json", f"results/sessions/s/raw/{RAW}.parquet"]
