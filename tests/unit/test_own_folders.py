"""A run writes through no link into a folder that is not its own."""

import os
from pathlib import Path

import pytest

from strapline.ground.documents import DocumentError
from strapline.running.own_folders import KEPT, must_be_own


def refusal(results):
    with pytest.raises(DocumentError) as refused:
        must_be_own(results)
    return str(refused.value)


@pytest.mark.parametrize("name", KEPT)
def test_a_link_or_a_file_is_refused(tmp_path, name):
    results, mine = tmp_path / "results", tmp_path / "mine"
    must_be_own(results)
    (results / name).mkdir(parents=True)
    mine.mkdir()
    must_be_own(results)
    (results / name).rmdir()
    for target in (mine, tmp_path / "nowhere"):
        (results / name).symlink_to(target)
        assert refusal(results) == (
            f"{results / name} is a link, and Strapline writes through no link. Delete it. "
            "Nothing was changed."
        )
        (results / name).unlink()
    (results / name).write_text("mine")
    assert refusal(results).startswith(f"{results / name} is not a folder.")


def test_the_results_may_be_a_link(tmp_path):
    (tmp_path / "elsewhere" / "receipts").mkdir(parents=True)
    (tmp_path / "results").symlink_to(tmp_path / "elsewhere")
    must_be_own(tmp_path / "results")


@pytest.mark.parametrize("name", ["sessions", "receipts", "archive/charts", "report/devices"])
def test_a_folder_that_may_not_be_read_is_told(tmp_path, monkeypatch, name):
    """As told by the system; a test may run as a user who may read everything."""
    closed = tmp_path / name
    closed.mkdir(parents=True)
    (tmp_path / "sessions" / "s01").mkdir(parents=True)
    must_be_own(tmp_path)
    shut = {closed, tmp_path / "sessions" / "s01"}
    scandir = os.scandir

    def listed(path):
        if Path(path) in shut:
            raise PermissionError(path)
        return scandir(path)

    monkeypatch.setattr(os, "access", lambda path, mode: path not in shut)
    monkeypatch.setattr(os, "scandir", listed)
    assert refusal(tmp_path).startswith(f"{closed} may not be read by you; give")
    assert "s01" not in refusal(tmp_path)
