"""What is left of parts that are no more."""

from pathlib import Path

from strapline.ended_parts import clear_ended_parts
from strapline.receipts import Places

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
    for name in names:
        path = results / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(name)


def left(results):
    return {path.relative_to(results).as_posix() for path in results.rglob("*") if path.is_file()}


def clear(results, *parts):
    clear_ended_parts(Places(results, Path("inbox")), ("metrics", "episodes"), parts)


def test_a_part_that_is_no_more_leaves_nothing(tmp_path):
    kept = {name.format("first") for name in OF_A_PART}
    written(tmp_path, *kept, *(name.format("from-gone") for name in OF_A_PART))
    clear(tmp_path, "first")
    assert left(tmp_path) == kept
    assert not (tmp_path / "parts" / "from-gone").exists()


def test_any_receipt_tells_of_a_part(tmp_path):
    """A run that was asked for one file of a part, or died, left no others."""
    for receipt in (name for name in OF_A_PART if name.startswith("receipts/")):
        written(tmp_path, receipt.format("from-gone"), "archive/metrics/from-gone.parquet")
        clear(tmp_path)
        assert left(tmp_path) == set()


def test_what_has_no_receipt_stays(tmp_path):
    strange = {"parts/mine/a.csv", "archive/metrics/mine.parquet", "archive/charts/a.svg"}
    written(tmp_path, *strange)
    clear(tmp_path, "first")
    assert left(tmp_path) == strange
