"""Signs of life: of a run and its shares, as seen by others."""

import json
import os
import re
import socket
import subprocess
import sys
import threading
import time

import pytest

from strapline.ground.documents import DocumentError
from strapline.running import run_lock, signs
from strapline.running.run_lock import NO_MORE, TOKEN, hold, hold_share, must_be_at_rest
from strapline.running.signs import Beats, Who

# It waits for signs of life.
pytestmark = pytest.mark.slow

ELSEWHERE = {"host": "node7", "process": 12, "job": "34", "token": "abc"}


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(signs, "BEAT_S", 0.1)
    monkeypatch.setattr(signs, "SILENT_S", 2.0)
    monkeypatch.delenv(TOKEN, raising=False)


@pytest.fixture
def beaten():
    """A function that has a sign written from another host, until the test is over."""
    over, threads = threading.Event(), []

    def begin(path, **facts):
        file = os.open(path, os.O_WRONLY | os.O_CREAT, 0o644)

        def write(number):
            os.pwrite(file, f"{json.dumps(ELSEWHERE | facts)}\n{number:09}\n".encode(), 0)

        def beat():
            number = 0
            while not over.wait(0.1):
                write(number := number + 1)
            os.close(file)

        write(0)
        threads.append(threading.Thread(target=beat))
        threads[-1].start()

    yield begin
    over.set()
    for thread in threads:
        thread.join()


def test_a_run_on_another_host_is_seen_by_its_sign(tmp_path, beaten):
    beaten(tmp_path / ".run")
    with pytest.raises(DocumentError, match=r"Another run .*\(job 34, process 12 on node7\)"):
        hold(tmp_path)
    with pytest.raises(DocumentError, match=r"A run is at work .* on node7\)"):
        must_be_at_rest(tmp_path)


def test_one_that_is_silent_is_no_more(tmp_path, capsys):
    (tmp_path / ".run").write_text(json.dumps(ELSEWHERE))
    (tmp_path / ".run-share-0001").write_text(json.dumps(ELSEWHERE))
    (tmp_path / ".run-of-mine").write_text("another's file")
    with hold(tmp_path):
        assert {path.name for path in tmp_path.iterdir()} == {".run", ".run-of-mine"}
    assert (tmp_path / ".run").read_text() == ""
    assert "Looking whether node7 is still at work here: 2 s at most." in capsys.readouterr().err


def test_beside_shares_that_live_no_run_begins_and_they_are_named(tmp_path, beaten):
    beaten(tmp_path / ".run-share-0001")
    beaten(tmp_path / ".run-share-0002", job="35", process=13)
    said = r"share-0001 \(job 34, process 12 on node7\), share-0002 .*type `scancel 34 35`"
    with pytest.raises(DocumentError, match=said):
        hold(tmp_path)
    with pytest.raises(DocumentError, match=said):
        must_be_at_rest(tmp_path)


def test_a_share_works_under_the_lock_of_the_run_that_sent_it(tmp_path):
    with hold(tmp_path):
        share = hold_share(tmp_path, "share-0001")
        with pytest.raises(DocumentError, match=rf"at work already: process {os.getpid()}"):
            hold_share(tmp_path, "share-0001")
        share.remove()
        hold_share(tmp_path, "share-0001").remove()


def test_through_a_link_it_writes_nothing(tmp_path):
    (tmp_path / "mine").touch()
    with hold(tmp_path):
        (tmp_path / ".run-share-0001").symlink_to("mine")
        with pytest.raises(DocumentError, match=r"\.run-share-0001: "):
            hold_share(tmp_path, "share-0001")
    assert (tmp_path / "mine").read_text() == ""


def test_it_does_not_begin_once_that_is_another_runs(tmp_path, monkeypatch):
    with hold(tmp_path):
        sent_with = os.environ[TOKEN]
    for lock in (hold(tmp_path), None):
        monkeypatch.setenv(TOKEN, sent_with)
        with pytest.raises(DocumentError, match=re.escape(NO_MORE)):
            hold_share(tmp_path, "share-0001")
        if lock:
            lock.close()
    assert not list(tmp_path.glob(".run-*"))


SHARE = """
import sys, time, subprocess
from pathlib import Path
from strapline.running import signs
signs.BEAT_S, signs.SILENT_S = 0.1, 2.0
from strapline.running.run_lock import hold_share
child = subprocess.Popen(["sleep", "60"])
hold_share(Path(sys.argv[1]), "share-0001")
print(child.pid, flush=True)
time.sleep(60)
"""


@pytest.mark.parametrize("end", ["silent", "another's", "gone"])
def test_it_ends_with_all_it_started_when_its_run_is_no_more(tmp_path, end):
    path = tmp_path / ".run"
    path.write_text(json.dumps(ELSEWHERE))
    share = subprocess.Popen(
        [sys.executable, "-c", SHARE, tmp_path],
        env=os.environ | {TOKEN: "abc"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    child = int(share.stdout.readline())
    assert list(tmp_path.glob(".run-*"))
    if end == "another's":
        path.write_text(json.dumps(ELSEWHERE | {"token": "abd"}))
    elif end == "gone":
        path.unlink()
    assert NO_MORE in share.communicate(timeout=30)[1]
    assert share.returncode == 1
    assert not list(tmp_path.glob(".run-*"))
    with pytest.raises(ProcessLookupError):
        os.kill(child, 0)


def test_a_sign_is_its_runs_for_as_long_as_it_is_written(tmp_path, beaten):
    beaten(tmp_path / ".run")
    beats, others = Beats(tmp_path / ".run", "abc"), Beats(tmp_path / ".run", "abd")
    until = time.monotonic() + 3
    while time.monotonic() < until:
        assert beats.go_on() and not others.go_on()
        time.sleep(0.1)


def test_storage_that_fails_for_a_moment_ends_nothing_yet(tmp_path, monkeypatch):
    (tmp_path / ".run").write_text(json.dumps(ELSEWHERE))
    beats = Beats(tmp_path / ".run", "abc")
    assert beats.go_on()
    (tmp_path / ".run").unlink()
    (tmp_path / ".run").mkdir()  # reading it fails
    assert beats.go_on()
    monkeypatch.setattr(signs, "SILENT_S", 0.0)
    assert not beats.go_on()


def test_a_sign_says_where(tmp_path):
    here = Who(host=socket.gethostname(), process=1, job="", token="")
    assert here.told == "process 1"
    assert Who(**ELSEWHERE).told == "job 34, process 12 on node7"
    assert run_lock.FILE_NAME == ".run"
