"""FIT as the reader reads it, beside a decoder that shares no code with it."""

import os
from pathlib import Path

import pandas as pd
import plain_fit
import pytest

from strapline.demo.bench import Bench
from strapline.demo.write import exports, file_name
from strapline.ground.documents import load
from strapline.reading.formats import Export, export_in, read_export

_REAL = os.environ.get("STRAPLINE_REAL_DATA", "")
_BENCH = Path(__file__).parents[3] / "config" / "demo" / "bench.yaml"


def agree(export: Export, plain: plain_fit.Plain) -> None:
    rates = export.samples["heart_rate_bpm"]
    told = [rate for rate in plain.heart_rates if rate is not None]
    assert (len(rates), rates.count(), rates.sum()) == (len(plain.times), len(told), sum(told))
    stated = pd.to_datetime(plain.times, unit="s", utc=True)
    times = export.samples["time"]
    assert (times.iloc[0], times.iloc[-1]) == (stated[0], stated[-1])
    assert (times.array == stated).all()
    assert [None if pd.isna(rate) else rate for rate in rates] == plain.heart_rates
    assert export.beats["rr_ms"].tolist() == plain.rr_ms


def test_what_the_demos_devices_export() -> None:
    bench = load(_BENCH, Bench)
    session = bench.sessions[0]
    found = [
        data
        for device, data in exports(bench, session)
        if file_name(bench, device).endswith(".fit")
    ]
    decoded = [plain_fit.decode(data) for data in found]
    for data, plain in zip(found, decoded, strict=True):
        agree(export_in(data), plain)
    assert any(plain.rr_ms for plain in decoded)
    assert all(len(plain.times) > 300 for plain in decoded)


@pytest.mark.skipif(not Path(_REAL, "fit").is_dir() or not _REAL, reason="needs real recordings")
@pytest.mark.parametrize(
    "name",
    [
        "fit/all_zero_heart_rate.fit", "fit/developer_fields.fit", "fit/indoor_ride.fit",
        "fit/rr_short_ride.fit", "fit/run.fit", "fit/uneven_intervals.fit", "fit/wrist_run.fit",
        "same_ride/ride.fit",
    ],
)  # fmt: skip
def test_real_recordings(name: str) -> None:
    path = Path(_REAL) / name
    agree(read_export(path), plain_fit.decode(path.read_bytes()))
