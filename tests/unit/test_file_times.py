import os
from contextlib import nullcontext

import pytest

from strapline.keeping.file_times import SNAKEMAKE_MARK, not_after
from strapline.keeping.receipts import Order, Places

NOW = 10**9


def dated(path, seconds):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.touch()
    os.utime(path, (seconds, seconds))
    return path


@pytest.fixture
def places(tmp_path):
    return Places(tmp_path / "results", tmp_path / "inbox")


def made(places, name, seconds):
    """A file that a job left, with its receipt."""
    path = dated(places.results / name, seconds)
    Order("gather_figures", "", {}, (), (str(path),), places).leave_receipt({})
    return path


def times(*paths):
    return [path.stat().st_mtime_ns for path in paths]


def test_what_was_made_in_the_future_is_dated_back_in_its_order(places):
    past = dated(places.results / "past", NOW - 50)
    paths = [made(places, name, NOW + ahead) for name, ahead in (("a", 10), ("c", 30), ("b", 20))]
    paths.append(made(places, "as-old-as-b", NOW + 20))
    not_after(places, NOW * 10**9)
    a, c, b, as_old_as_b = times(*paths)
    assert times(past)[0] < a < b < c < NOW * 10**9 and as_old_as_b == b


def test_a_folder_that_is_an_output_is_dated_by_its_mark(places):
    made(places, "charts/one.svg", NOW + 10)
    mark = dated(places.results / "charts" / SNAKEMAKE_MARK, NOW + 20)
    not_after(places, NOW * 10**9)
    assert times(mark)[0] < NOW * 10**9


def test_all_else_stays_as_it_is(places):
    made(places, "ahead", NOW + 10)
    others = [
        made(places, "past", NOW - 10),
        dated(places.results / "my notes.txt", NOW + 10),
        dated(places.results / "packages" / "run.zip", NOW + 20),
    ]
    before = times(*others)
    not_after(places, NOW * 10**9)
    assert times(*others) == before


def test_a_file_that_goes_while_times_are_read_does_not_stop_the_run(places, monkeypatch):
    kept = made(places, "kept", NOW + 10)
    gone = dated(places.results / "gone", NOW + 10)
    entries = [e for e in os.scandir(places.results) if e.is_file()]
    gone.unlink()
    scan = os.scandir
    monkeypatch.setattr(
        os,
        "scandir",
        lambda folder: nullcontext(entries) if folder == places.results else scan(folder),
    )
    not_after(places, NOW * 10**9)
    assert times(kept)[0] < NOW * 10**9
