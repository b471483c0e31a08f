import multiprocessing
import os
import signal
import time
from contextlib import nullcontext

import pytest

from strapline.documents import DocumentError
from strapline.run_lock import hold, not_after


def _hold_for_long(results, held):
    lock = hold(results)
    held.set()
    time.sleep(60)
    lock.close()


def test_the_lock_of_a_run_that_was_killed_is_gone_with_it(tmp_path):
    context = multiprocessing.get_context("spawn")
    held = context.Event()
    run = context.Process(target=_hold_for_long, args=(tmp_path / "results", held))
    run.start()
    assert held.wait(30)
    with pytest.raises(DocumentError, match=rf"Another run is at work .*\(process {run.pid}\)"):
        hold(tmp_path / "results")
    os.kill(run.pid, signal.SIGKILL)
    run.join()
    hold(tmp_path / "results").close()


def test_a_file_that_goes_while_times_are_read_does_not_stop_the_run(tmp_path, monkeypatch):
    for name in ("gone", "kept"):
        (tmp_path / name).write_text("")
    entries = list(os.scandir(tmp_path))
    (tmp_path / "gone").unlink()
    monkeypatch.setattr(os, "scandir", lambda folder: nullcontext(entries))
    not_after(tmp_path, 200 * 10**9)
    assert (tmp_path / "kept").stat().st_mtime == 200


def test_results_of_the_future_are_dated_back_in_their_order(tmp_path):
    old, new = tmp_path / "old", tmp_path / "folder" / "new"
    new.parent.mkdir()
    for path, seconds in ((old, 100), (new, 300)):
        path.write_text("")
        os.utime(path, (seconds, seconds))
    not_after(tmp_path, 200 * 10**9)
    assert (old.stat().st_mtime, new.stat().st_mtime) == (0, 200)
    not_after(tmp_path, 200 * 10**9)
    assert (old.stat().st_mtime, new.stat().st_mtime) == (0, 200)
