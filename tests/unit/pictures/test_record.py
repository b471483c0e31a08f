"""What becomes of a screenshot besides its curve: the tester's own record, the ledger, intervals,
sentences, and what is handed on."""

import io
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from PIL import Image

from intakes import recording, session, strap
from strapline.ground.files import write_model
from strapline.ground.records.picture import Resolution
from strapline.ground.settings import Effort, Episodes, Intervals, Tolerance
from strapline.ground.tables.sessions import ALIGNED
from strapline.keeping.packaging.package import receipts_of, results_of
from strapline.keeping.receipts import FOLDER, Places
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from strapline.method.metrics.session_metrics import session_metrics
from strapline.reading.inbox.glance import Glance
from strapline.running.stages import screen
from unit.pictures.looks import LOOKS, drawn, invented

FINE = Resolution(column_s=2.0, pixel_bpm=0.5, columns=600, empty=3, doubtful=2)
HINTS = '{"picture": {"left": 0, "right": 1470, "bottom": 60, "top": 180}}'


def written(tmp_path: Path, content: bytes, hints: str = HINTS) -> bytes:
    export, place = tmp_path / "band.png", tmp_path / "seen.png"
    export.write_bytes(content)
    screen.run(export=str(export), content="", screen=str(place), hints=hints)
    return place.read_bytes()


def test_the_record_shows_the_line_over_the_screenshot(tmp_path: Path) -> None:
    seen = Image.open(io.BytesIO(written(tmp_path, drawn(LOOKS[1], *invented()))))
    pixels = np.asarray(seen.convert("RGB")).reshape(-1, 3).tolist()
    assert [0, 0, 0] in pixels and [0, 110, 220] in pixels


@pytest.mark.parametrize("content", [b"no picture", drawn(LOOKS[1], *invented())[:4000]])
def test_what_cannot_be_read_leaves_an_empty_record(tmp_path: Path, content: bytes) -> None:
    assert written(tmp_path, content) == b""


def test_a_picture_that_the_card_does_not_explain_leaves_an_empty_record(tmp_path: Path) -> None:
    assert written(tmp_path, drawn(LOOKS[1], *invented()), hints="{}") == b""


def test_screenshots_are_those_that_the_card_explains(tmp_path: Path) -> None:
    card = tmp_path / "session.yaml"
    card.write_text(
        "recordings:\n"
        "  - {file: band.png, device: band, picture: {left: 0, right: 900, bottom: 60, top: 180}}\n"
        "  - {file: watch.csv, device: watch}\n"
        "  - {device: ring, picture: {left: 0}}\n"
    )
    assert Glance(card).pictures == {"band.png"}
    assert Glance(None).pictures == set()


def test_no_package_holds_it(tmp_path: Path) -> None:
    places = Places(tmp_path / "results", tmp_path / "inbox")
    for own in (places.results, places.results / FOLDER):
        (own / "sessions" / "s" / "screens").mkdir(parents=True)
        (own / "sessions" / "s" / "screens" / "0123.png").write_bytes(b"seen")
        (own / "sessions" / "s" / "ledger.json").write_bytes(b"{}")
    write_model(places.results / "sessions" / "s" / "intake.json", session(strap(), name="s"))
    names = [packaged.name for packaged in results_of(places, "s")]
    assert any(name.endswith("ledger.json") for name in names)
    assert not any("screens" in name for name in names)
    assert not any("screens" in str(path) for path in receipts_of(places, "s"))


def grid() -> pd.DataFrame:
    seconds = np.arange(1200)
    reference = 120 + 20 * np.sin(seconds / 60)
    off = np.random.default_rng(3).normal(0, 2, seconds.size)
    return ALIGNED.frame(
        {
            "recording": ["band"] * seconds.size,
            "device": ["band"] * seconds.size,
            "alignment": ["settled"] * seconds.size,
            "time": pd.Timestamp("2026-03-01", tz="UTC") + pd.to_timedelta(seconds, unit="s"),
            "reference_bpm": reference,
            "device_bpm": reference + off,
            "status": ["compared"] * seconds.size,
            "stands_for_s": [1.0] * seconds.size,
        }
    )


def figures(picture: Resolution | None) -> pd.DataFrame:
    intake = session(strap(), recording("band", resolution=picture))
    found = session_metrics(grid(), intake, None, Tolerance(), Intervals(), Effort())
    return found.astype({"metric": str}).set_index("metric")


def test_no_interval_is_finer_than_the_picture() -> None:
    """A reading may be off by half a pixel, and all of them to one side."""
    by_file, by_picture = figures(None), figures(FINE)
    for metric in ("bias", "mae", "mean_device", "limit_lower"):
        wider = (
            by_picture.loc[metric, ["ci_low", "ci_high"]]
            - by_file.loc[metric, ["ci_low", "ci_high"]]
        )
        assert wider.tolist() == pytest.approx([-0.25, 0.25])
    for metric in ("mean_reference", "mape", "within_beats"):
        pd.testing.assert_series_equal(by_picture.loc[metric], by_file.loc[metric])


def test_its_sentences_say_how_fine_it_is() -> None:
    intake = session(strap(), recording("band", resolution=FINE))
    tables = session_episodes(grid(), {}, intake, Episodes(), Tolerance())
    told = session_sentences(*tables, intake)
    asides = told.loc[told["form"] == "aside", "text"].tolist()
    assert asides[-2:] == [
        "It was read from a picture, which has a value every 2.0 s and 0.50 bpm a pixel.",
        "Faults shorter than 6.0 s were not looked for.",
    ]
    plain = session(strap(), recording("band"))
    assert not any("picture" in text for text in session_sentences(*tables, plain)["text"])
