"""What is left of parts that are no more."""

import hashlib
import json
from pathlib import Path

from strapline.keeping.receipts import Places
from strapline.running.ended import (
    clear_ended_parts,
    clear_raw_files,
    clear_strangers,
    ended_raw_files,
)

OF_A_PART = (
    "parts/{}/sessions.json",
    "receipts/parts/{}/sessions.json.json",
    "archive/metrics/{}.parquet",
    "archive/episodes/{}.parquet",
    "receipts/archive/episodes/{}.parquet.json",
    "report/data/metrics/{}.csv",
    "receipts/report/data/metrics/{}.csv.json",
)


def written(results, *names):
    """Files, and receipts that record them."""
    for name in names:
        path = results / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if not name.startswith("receipts/"):
            path.write_text(name)
            continue
        output = name.removeprefix("receipts/").removesuffix(".json")
        others = [f"archive/metrics/{path.parent.name}.parquet"] * ("sessions.json" in name)
        outputs = {
            f"results/{each}": hashlib.sha256(each.encode()).hexdigest()
            for each in [output, *others]
        }
        stated = {"stage": "s", "method": "m", "settings": {}, "inputs": {}, "outputs": outputs}
        path.write_text(json.dumps(stated))


def left(results):
    return {path.relative_to(results).as_posix() for path in results.rglob("*") if path.is_file()}


def clear(results, *parts):
    return clear_ended_parts(Places(results, Path("inbox")), ("metrics", "episodes"), parts)


def test_a_part_that_is_no_more_leaves_nothing(tmp_path):
    kept = {name.format("first") for name in OF_A_PART}
    written(tmp_path, *kept, *(name.format("from-gone") for name in OF_A_PART))
    clear(tmp_path, "first")
    assert left(tmp_path) == kept
    assert not (tmp_path / "parts" / "from-gone").exists()


def test_any_receipt_tells_of_a_part(tmp_path):
    """A run that was asked for one file of a part, or died, left no others."""
    for receipt in (name for name in OF_A_PART if name.startswith("receipts/")):
        made = receipt.removeprefix("receipts/").removesuffix(".json")
        written(tmp_path, receipt.format("from-gone"), made.format("from-gone"))
        clear(tmp_path)
        assert left(tmp_path) == set()


def test_what_is_not_as_a_job_left_it_is_moved_aside(tmp_path):
    written(tmp_path, *(name.format("from-gone") for name in OF_A_PART))
    edited, strange = "archive/metrics/from-gone.parquet", "parts/from-gone/mine.csv"
    for name in (edited, strange):
        (tmp_path / name).write_text("mine")
    moved = {f"results/{name}": f"results/set-aside/1/{name}" for name in (edited, strange)}
    assert clear(tmp_path) == moved
    assert left(tmp_path) == {name.removeprefix("results/") for name in moved.values()}


def test_nothing_is_removed_through_a_link(tmp_path):
    results = tmp_path / "results"
    written(results, *(name.format("from-gone") for name in OF_A_PART))
    (results / "parts" / "from-gone").rename(tmp_path / "mine")
    (results / "parts" / "from-gone").symlink_to(tmp_path / "mine")
    clear(results)
    assert left(tmp_path / "mine") == {"sessions.json"}


def test_what_has_no_receipt_stays(tmp_path):
    strange = {"parts/mine/a.csv", "archive/metrics/mine.parquet", "archive/charts/a.svg"}
    written(tmp_path, *strange)
    clear(tmp_path, "first")
    assert left(tmp_path) == strange


def test_what_was_made_of_a_replaced_raw_file_goes_and_an_edit_of_it_is_set_aside(tmp_path):
    places = Places(tmp_path, tmp_path / "inbox")
    for raw in ("aa", "bb", "cc"):
        tables = [f"sessions/s/raw/{raw}.parquet", f"sessions/s/raw/{raw}.beats.parquet"]
        written(tmp_path, *tables)
        hashes = {f"results/{t}": hashlib.sha256(t.encode()).hexdigest() for t in tables}
        stated = {"stage": "s", "method": "m", "settings": {}, "inputs": {}, "outputs": hashes}
        note = tmp_path / "receipts" / f"{tables[0]}.json"
        note.parent.mkdir(parents=True, exist_ok=True)
        note.write_text(json.dumps(stated))
    (tmp_path / "sessions/s/raw/bb.parquet").write_text("edited")
    ended = ended_raw_files(places, {"s": ["aa"]})
    assert ended == [f"results/sessions/s/raw/{raw}.parquet" for raw in ("bb", "cc")]
    moved = clear_raw_files(places, ended)
    assert list(moved) == ["results/sessions/s/raw/bb.parquet"]
    assert places.path_of(moved["results/sessions/s/raw/bb.parquet"]).read_text() == "edited"
    assert {path.name for path in (tmp_path / "sessions/s/raw").iterdir()} == {
        "aa.parquet",
        "aa.beats.parquet",
    }
    assert [p.name for p in (tmp_path / "receipts/sessions/s/raw").iterdir()] == ["aa.parquet.json"]


def test_what_would_be_read_as_a_part_of_a_table_is_set_aside(tmp_path):
    places = Places(tmp_path, tmp_path / "inbox")
    written(tmp_path, "archive/metrics/a.parquet", "archive/metrics/b.parquet", "archive/x.parquet")
    written(tmp_path, "archive/metrics/notes.txt", "archive/metrics/.c.parquet.unfinished")
    assert list(clear_strangers(places, ["metrics"], ["a"])) == [
        "results/archive/metrics/b.parquet"
    ]
    assert {path.name for path in (tmp_path / "archive" / "metrics").iterdir()} == {
        "a.parquet",
        "notes.txt",
        ".c.parquet.unfinished",
    }
