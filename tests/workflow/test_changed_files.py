"""Derived files that someone changed. `python -m mishaps.changed` tries many more."""

import pytest

from mishaps.changed import Change, built, tried
from strapline.ground.files import sha256_of

# What is swapped, is with the same of 's00'.
OF_SESSIONS = [
    ("sessions/s00/intake.json", "made_a_folder"),
    ("sessions/s01/aligned.parquet", "edited"),
    ("sessions/s01/metrics.parquet", "deleted"),
    ("sessions/s01/consequences.parquet", "swapped"),
    ("sessions/s01/raw", "made_a_file"),
    ("sessions/s01/sentences.parquet", "made_a_link_to_nothing"),
    ("sessions/s02/courses.parquet", "closed"),
    ("sessions/s02/charts", "joined_by_another"),
    ("sessions/s02/session.draft.yaml", "emptied"),
    ("report/sessions/s02.html", "truncated"),
    ("sessions/s03", "made_a_link"),
]
OF_ALL = [
    ("archive/sessions.parquet", "edited"),
    ("archive/charts", "made_a_file"),
    ("report/data/findings.csv", "deleted"),
    ("report/changes.html", "made_a_link"),
    ("report/index.html", "made_a_link_to_nothing"),
    ("report/method.html", "closed"),
]


@pytest.fixture(scope="module")
def archive(with_looks, tmp_path_factory):
    return built(with_looks(tmp_path_factory.mktemp("changed") / "built"), 4)


@pytest.mark.parametrize("notes", [True, False], ids=["", "without Snakemake's notes"])
def test_one_run_makes_everything_what_it_was(archive, tmp_path, notes):
    changes = [Change(*change) for change in OF_SESSIONS + OF_ALL]
    outcome = tried(archive, tmp_path / "copy", changes, notes)
    assert outcome.faults == []
    assert outcome.changes == len(changes)


def test_a_dry_run_tells_and_moves_nothing(archive, tmp_path):
    bench = archive.copy_of_all(tmp_path / "copy")
    table = bench.results / "sessions" / "s01" / "aligned.parquet"
    table.write_bytes(b"")
    (bench.results / "archive" / "findings.parquet").unlink()
    before = bench.contents()
    assert bench.run("-n") == 0
    assert bench.contents() == before
    assert "results/sessions/s01/aligned.parquet" in bench.text
    assert "results/archive/findings.parquet" in bench.text
    assert "align" in bench.text.partition("Reasons:")[2]


def test_what_was_made_of_an_edit_that_was_undone_is_made_again(archive, tmp_path):
    """Neither Snakemake's notes nor the files' own receipts tell of it."""
    bench = archive.copy_of_all(tmp_path / "copy")
    wanted = bench.contents()
    table = bench.results / "sessions" / "s01" / "ledger.json"
    note = bench.results / "receipts" / "report" / "sessions" / "s01.html.json"
    page = bench.results / "report" / "sessions" / "s01.html"
    page.write_bytes(page.read_bytes() + b"<!-- of other seconds -->")
    text = note.read_text()
    text = text.replace(sha256_of(table), "0" * 64)
    note.write_text(text.replace(wanted["report/sessions/s01.html"], sha256_of(page)))
    assert bench.run() == 0
    assert bench.contents() == wanted
