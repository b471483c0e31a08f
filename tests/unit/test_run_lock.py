import multiprocessing
import os
import signal
import time

import pytest

from strapline.ground.documents import DocumentError
from strapline.running.commands import main
from strapline.running.run_lock import hold, must_be_at_rest


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
    with pytest.raises(DocumentError, match=rf"A run is at work .*\(process {run.pid}\)"):
        must_be_at_rest(tmp_path / "results")
    os.kill(run.pid, signal.SIGKILL)
    run.join()
    must_be_at_rest(tmp_path / "results")
    hold(tmp_path / "results").close()


@pytest.mark.parametrize("words", ["verify", "package run", "trace run watch mae"])
def test_during_a_run_a_command_says_so_and_accuses_nobody(words, tmp_path, capsys):
    (tmp_path / "sessions").mkdir()
    with hold(tmp_path):
        assert main([*words.split(), "--results", str(tmp_path)]) == 2
    assert f"A run is at work in {tmp_path} (process {os.getpid()})" in capsys.readouterr().err


def test_before_the_first_run_there_is_none_at_work(tmp_path):
    must_be_at_rest(tmp_path / "results")
