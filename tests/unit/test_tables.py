import re
from pathlib import PurePath

import pandas as pd
import pyarrow.parquet as pq
import pytest

from strapline.ground.tables.contracts import CONTRACTS, contract_of
from strapline.ground.tables.recordings import SAMPLES
from strapline.ground.tables.table import REAL, WORD, Column, ContractError, Table, about
from strapline.keeping.editions.published import in_order_of

WORDS = Table(
    "words", "A word and a value", (Column("name", WORD, "-"), Column("value", REAL, "-"))
)


def test_every_column_carries_its_meaning_into_the_file(tmp_path):
    for table in CONTRACTS:
        path = tmp_path / f"{table.name}.parquet"
        table.write(table.empty(), path)
        schema = pq.read_schema(path)
        assert schema.names == table.column_names
        assert all(schema.field(name).metadata[b"meaning"] for name in schema.names)


def test_a_column_of_several_tables_is_described_once():
    first = {}
    for table in CONTRACTS:
        for column in table.columns:
            assert first.setdefault(column, column) is column, f"{table.name}: {column.name}"


# What the rules call the folders of results.
FOLDERS = {
    "SESSION": "sessions/s",
    "RAW": "sessions/s/raw/r",
    "PART": "parts/p",
    "ARCHIVE": "archive",
}


def test_each_is_written_by_a_rule_and_those_in_parts_in_parts(repository):
    rules = "".join(path.read_text("utf-8") for path in (repository / "workflow").rglob("*.smk"))
    outputs = "".join(re.findall(r"^    output:\n(.*?)^    \w+:", rules, re.MULTILINE | re.DOTALL))
    found = re.findall(rf'"{{({"|".join(FOLDERS)})}}([^"]*)\.parquet"', outputs)
    paths = {PurePath("results", f"{FOLDERS[at]}{name}.parquet") for at, name in found}
    assert {contract_of(path) for path in paths} == set(CONTRACTS)
    in_parts = {path.parent.name for path in paths if path.match("archive/*/*")}
    assert in_parts == {table.name for table in CONTRACTS if table.in_parts}


def test_what_a_table_is_about_comes_back(tmp_path):
    path = tmp_path / "t.parquet"
    SAMPLES.write(SAMPLES.empty(), path, file="ä.fit", remarks=["one"], set_aside=None)
    assert about(path) == {"file": "ä.fit", "remarks": ["one"], "set_aside": None}


def test_a_frame_that_breaks_the_contract_is_not_written(tmp_path):
    good = SAMPLES.from_rows([{"ordinal": 0, "stream": 1, "heart_rate_bpm": 61.5}])
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


def test_columns_that_break_the_contract_make_no_frame():
    good = {"ordinal": [0, 1], "stream": [1, 1], "heart_rate_bpm": [61.5, None]}
    assert len(SAMPLES.frame(good)) == 2
    breaches = [{"ordinal": [0, None]}, {"ordinal": [0]}, {"heart_rate_bpm": ["fast", "slow"]}]
    for breach in breaches:
        with pytest.raises(ContractError):
            SAMPLES.frame(good | breach)


def test_same_frame_same_bytes(tmp_path):
    rows = [{"ordinal": n, "stream": 1, "heart_rate_bpm": 60 + n} for n in range(100)]
    frame = SAMPLES.from_rows(rows)
    for name in ("a", "b"):
        SAMPLES.write(frame, tmp_path / name, file="x")
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()


def test_missing_numbers_stay_missing(tmp_path):
    SAMPLES.write(SAMPLES.from_rows([{"ordinal": 0, "stream": 1}]), tmp_path / "t")
    assert pd.isna(SAMPLES.read(tmp_path / "t")["heart_rate_bpm"]).all()


def test_some_columns_of_a_table_are_read_alone(tmp_path):
    WORDS.write(WORDS.frame({"name": ["a"], "value": [1.0]}), tmp_path / "t")
    assert list(WORDS.read(tmp_path / "t", "value").columns) == ["value"]


def test_rows_with_some_words_are_read_alone(tmp_path):
    WORDS.write(WORDS.frame({"name": ["b", "a", "b"], "value": [1.0, 2.0, 3.0]}), tmp_path / "t")
    assert WORDS.read(tmp_path / "t", name=["b"])["value"].tolist() == [1.0, 3.0]
    assert len(WORDS.read(tmp_path / "t", name=["c", "a"])) == 1
    assert WORDS.read(tmp_path / "t", name=["c"]).empty


def test_rows_go_by_the_text_of_their_words_whatever_order_those_came_in():
    frame = WORDS.frame({"name": ["b", "ä", "a", "B", "b"], "value": [2.0, 0.0, 9.0, 5.0, 1.0]})
    ordered = in_order_of(frame, ["name"])
    assert ordered["name"].tolist() == ["B", "a", "b", "b", "ä"]
    assert ordered["value"].tolist() == [5.0, 9.0, 2.0, 1.0, 0.0]
    assert in_order_of(frame.astype({"name": str}), ["name"])["value"].equals(ordered["value"])


def test_frames_of_different_words_are_joined_in_the_order_given():
    one = WORDS.frame({"name": ["b", "a"], "value": [1.0, 2.0]})
    other = WORDS.frame({"name": ["c", "a"], "value": [None, 3.0]})
    whole = WORDS.joined([one, WORDS.empty(), other])
    assert list(whole["name"]) == ["b", "a", "c", "a"]
    assert list(whole["name"].cat.categories) == ["b", "a", "c"]
    assert list(whole["value"].dropna()) == [1.0, 2.0, 3.0]
    assert WORDS.joined([]).empty
    with pytest.raises(ContractError):
        WORDS.joined([one, other.assign(value="much")])
