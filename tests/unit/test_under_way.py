"""What a killed job left is cleared away before the next run, and nothing else."""

import json
from types import MappingProxyType

import pytest

from strapline.ground.files import sha256_of
from strapline.keeping.receipts import Order, Places, receipt_path
from strapline.running.under_way import FOLDER, clear_half_done, under_way


@pytest.fixture
def places(tmp_path):
    return Places(tmp_path / "results", tmp_path / "inbox")


def order(places, *outputs, raw=MappingProxyType({})):
    made = tuple(str(path) for path in outputs)
    return Order("measure", "measure:1", {}, (), made, places, raw)


def write(*paths):
    for path in paths:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("half")


def kill(job):
    """As if the process ended here: the note is left, with what was written so far."""
    manager = under_way(job)
    manager.__enter__()
    return manager


def test_outputs_and_receipt_of_a_killed_job_are_removed(places):
    table, folder = places.results / "a" / "x.parquet", places.results / "a" / "charts"
    receipt = receipt_path(places, "results/a/x.parquet")
    half = receipt.with_name(f".{receipt.name}.unfinished")
    other = places.results / "a" / "y.parquet"
    held = kill(order(places, table, folder))
    write(table, folder / "one.svg", receipt, half, other)
    clear_half_done(places)
    assert not any(path.exists() for path in (table, folder, receipt, half))
    assert other.exists()
    assert not list((places.results / FOLDER).iterdir())
    held.__exit__(None, None, None)


@pytest.mark.parametrize("above", [True, False])
def test_nothing_is_removed_through_a_link(places, tmp_path, above):
    table, folder = places.results / "a" / "x.parquet", places.results / "a" / "charts"
    held = kill(order(places, table, folder))
    mine = tmp_path / "mine"
    if above:
        write(mine / "x.parquet", mine / "charts" / "one.svg")
        (places.results / "a").symlink_to(mine)
    else:
        write(mine / "one.svg")
        folder.parent.mkdir()
        folder.symlink_to(mine)
    before = sorted(mine.rglob("*"))
    clear_half_done(places)
    assert sorted(mine.rglob("*")) == before
    assert folder.is_symlink() or folder.parent.is_symlink()
    held.__exit__(None, None, None)


def test_a_job_that_ends_or_fails_leaves_no_note(places):
    table = places.results / "x.parquet"
    with under_way(order(places, table)):
        write(table)
    with pytest.raises(OSError, match="full"), under_way(order(places, table)):
        raise OSError("full")
    clear_half_done(places)
    assert table.exists()


@pytest.mark.parametrize("changed", [True, False])
def test_what_was_made_of_a_file_that_changed_meanwhile_is_made_anew(places, changed):
    table, raw = places.results / "x.parquet", places.inbox / "strap.csv"
    write(raw)
    with under_way(order(places, table, raw={str(raw): sha256_of(raw)})):
        write(table)
        if changed:
            raw.write_text("more")
    clear_half_done(places)
    assert table.exists() != changed
    assert raw.exists()


@pytest.mark.parametrize("content", ["", '{"outputs": 1}'])
def test_a_note_that_was_not_finished_clears_nothing(places, content):
    write(places.results / "x.parquet")
    (places.results / FOLDER).mkdir()
    (places.results / FOLDER / ".0.json.unfinished").write_text(content)
    clear_half_done(places)
    assert (places.results / "x.parquet").exists()
    assert not list((places.results / FOLDER).iterdir())


def test_a_note_removes_nothing_but_results(places, tmp_path):
    """Nor does one that lies behind a link, or a receipt that does."""
    export, mine = places.inbox / "run" / "strap.csv", tmp_path / "mine"
    write(export, mine / "notes.txt", mine / "x.parquet.json", places.results / "a" / "x.parquet")
    names = ["inbox/run/strap.csv", "results/../inbox/run/strap.csv", "results/a/x.parquet"]
    (places.results / FOLDER).mkdir()
    (places.results / FOLDER / "planted.json").write_text(json.dumps({"outputs": names}))
    (places.results / "receipts").mkdir()
    (places.results / "receipts" / "a").symlink_to(mine)
    clear_half_done(places)
    assert not (places.results / "a" / "x.parquet").exists()
    (places.results / FOLDER).rmdir()
    (places.results / FOLDER).symlink_to(mine)
    clear_half_done(places)
    assert export.exists()
    assert sorted(path.name for path in mine.iterdir()) == ["notes.txt", "x.parquet.json"]
