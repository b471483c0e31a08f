"""Every real recording of STRAPLINE_REAL_DATA against fitdecode, asked directly."""

import os
from pathlib import Path

import fitdecode
import numpy as np
import pandas as pd
import pytest

from strapline.reading.formats import UnreadableExport, read_export

REAL = Path(os.environ.get("STRAPLINE_REAL_DATA", "nowhere"))
FILES = sorted(path for path in REAL.rglob("*.fit") if path.parent.name != "broken")

pytestmark = pytest.mark.skipif(
    not FILES, reason="needs real recordings; set STRAPLINE_REAL_DATA to their directory"
)


def stated(path: Path) -> tuple[pd.DatetimeIndex, np.ndarray, list[float]]:
    """Times and heart rates of all records that have one, and RR intervals in ms."""
    times, rates, intervals = [], [], []
    with fitdecode.FitReader(path, error_handling=fitdecode.ErrorHandling.IGNORE) as reader:
        for frame in reader:
            if frame.frame_type != fitdecode.FIT_FRAME_DATA:
                continue
            if frame.name == "record" and frame.get_value("heart_rate", fallback=None) is not None:
                times.append(frame.get_value("timestamp"))
                rates.append(frame.get_value("heart_rate"))
            elif frame.name == "hrv":
                intervals += [s * 1000 for s in frame.get_value("time") if s is not None]
    return pd.DatetimeIndex(times), np.array(rates, dtype=float), intervals


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_a_file_reads_as_another_reader_has_it(path: Path) -> None:
    times, rates, intervals = stated(path)
    export = read_export(path)
    assert export.beats["rr_ms"].to_numpy() == pytest.approx(intervals)
    first = export.samples[export.samples["stream"] == 1].dropna(subset="heart_rate_bpm")
    if not rates.size:  # its heart rates are in other messages than records
        assert first.empty or first["heart_rate_bpm"].between(30, 230).all()
        return
    assert first["heart_rate_bpm"].to_numpy() == pytest.approx(rates)
    assert (first["time"].reset_index(drop=True) == pd.Series(times)).all()


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_every_stream_says_where_it_is_from(path: Path) -> None:
    export = read_export(path)
    numbers = sorted(set(export.samples["stream"]) | set(export.beats["stream"]))
    assert [s.number for s in export.streams] == (numbers if export.streams else [])
    assert len(numbers) == max(len(export.streams), 1)


def test_what_is_broken_is_told() -> None:
    for path in sorted((REAL / "broken").glob("*")):
        try:
            export = read_export(path)
        except UnreadableExport as reason:
            assert str(reason).endswith(".")
        else:
            assert export.remarks or export.samples["heart_rate_bpm"].isna().all()
