import errno
import os
import resource

import pytest

from strapline.ground.files import write_text, written_whole
from strapline.running.machine import died, told, trouble_in
from strapline.running.typed import remember


def test_an_error_of_the_machine_is_told_with_its_file():
    error = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), "results/a.parquet")
    assert str(told(error)).startswith("The disk is full.")
    assert "(results/a.parquet)" in str(told(error))


def test_on_a_cluster_the_advice_is_its_command(monkeypatch):
    error = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    assert "type `snakemake` again" in str(told(error))
    monkeypatch.setenv("STRAPLINE_COMMAND", "")
    monkeypatch.delenv("STRAPLINE_COMMAND")
    remember(["cluster", "--config", "inbox=my inbox"])
    remember(["a", "share"])  # started by that one
    assert "type `snakemake cluster --config 'inbox=my inbox'` again" in str(told(error))


def test_what_is_wrong_with_a_folder_is_found_out_by_trying(tmp_path):
    assert trouble_in(tmp_path) is None
    assert not list(tmp_path.iterdir())
    assert trouble_in(tmp_path / "none") is None  # that is no fault of the machine


def test_a_worker_that_dies_under_a_limit_of_memory_is_told_so(monkeypatch):
    assert "close other programs" in str(died("chart"))
    monkeypatch.setattr(resource, "getrlimit", lambda limit: (3 * 2**30, -1))
    assert "The worker for the stage chart died twice. A limit of 3.0 GiB is set" in str(
        died("chart")
    )


def test_any_other_error_is_a_defect_and_stays_as_it_is():
    assert told(FileNotFoundError(errno.ENOENT, "")) is None
    assert told(OSError("of no number")) is None


def test_a_file_that_cannot_be_finished_leaves_the_old_one_and_nothing_else(tmp_path):
    path = tmp_path / "page.html"
    write_text(path, "old")
    with pytest.raises(OSError, match="full"), written_whole(path) as unfinished:
        unfinished.write_text("ne")
        raise OSError(errno.ENOSPC, "full")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]
