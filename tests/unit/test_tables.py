import pandas as pd
import pyarrow.parquet as pq
import pytest

from strapline.tables.contracts import CONTRACTS
from strapline.tables.recordings import SAMPLES
from strapline.tables.table import ContractError, about


def test_every_column_carries_its_meaning_into_the_file(tmp_path):
    for table in CONTRACTS:
        path = tmp_path / f"{table.name}.parquet"
        table.write(table.empty(), path)
        schema = pq.read_schema(path)
        assert schema.names == table.column_names
        assert all(schema.field(name).metadata[b"meaning"] for name in schema.names)


def test_what_a_table_is_about_comes_back(tmp_path):
    path = tmp_path / "t.parquet"
    SAMPLES.write(SAMPLES.empty(), path, file="ä.fit", remarks=["one"], set_aside=None)
    assert about(path) == {"file": "ä.fit", "remarks": ["one"], "set_aside": None}


def test_a_frame_that_breaks_the_contract_is_not_written(tmp_path):
    good = SAMPLES.from_rows([{"ordinal": 0, "heart_rate_bpm": 61.5}])
    breaches = [
        good.drop(columns="time"),
        good.assign(ordinal=None),
        good.assign(heart_rate_bpm="fast"),
        good[list(reversed(good.columns))],
    ]
    for breach in breaches:
        with pytest.raises(ContractError):
            SAMPLES.write(breach, tmp_path / "t.parquet")
    assert not list(tmp_path.iterdir())


def test_same_frame_same_bytes(tmp_path):
    frame = SAMPLES.from_rows([{"ordinal": n, "heart_rate_bpm": 60 + n} for n in range(100)])
    for name in ("a", "b"):
        SAMPLES.write(frame, tmp_path / name, file="x")
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()


def test_missing_numbers_stay_missing(tmp_path):
    SAMPLES.write(SAMPLES.from_rows([{"ordinal": 0}]), tmp_path / "t")
    assert pd.isna(SAMPLES.read(tmp_path / "t")["heart_rate_bpm"]).all()
