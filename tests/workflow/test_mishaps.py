"""A run that is killed, and one beside another. `python -m mishaps.run` tries much more."""

import os
import signal

import pytest

from mishaps.bench import Bench, kill
from mishaps.scenarios import SAME, refused, told
from strapline.running.run_lock import hold

# Of both sessions, what is made without a picture or a page.
TARGETS = [f"results/sessions/{name}/metrics.parquet" for name in ("run", "ride")]


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    return Bench(tmp_path_factory.mktemp("mishaps")).fill()


def test_a_second_run_says_so_and_changes_nothing(bench):
    with hold(bench.results):
        before = bench.count()
        assert refused(bench, bench.run(), "Another run is at work in results").startswith("told")
    assert bench.count() == before


def test_after_a_kill_a_bare_snakemake_gives_the_same(bench, tmp_path):
    process = bench.start(*TARGETS)
    bench.wait_for(12, process)
    kill(process, whole_group=False)
    assert process.returncode < 0
    undisturbed = bench.copy_of_inbox(tmp_path)
    assert undisturbed.run(*TARGETS) == 0, undisturbed.text
    assert told(bench, undisturbed.contents(), bench.run(*TARGETS)) == SAME


@pytest.mark.parametrize("heard", [signal.SIGINT, signal.SIGTERM])
def test_a_run_that_is_told_to_end_says_that_and_no_step_fails(tmp_path, heard):
    bench = Bench(tmp_path).fill()
    process = bench.start(*TARGETS)
    bench.wait_for(12, process)
    # Ctrl-C reaches all that runs in the terminal.
    os.killpg(process.pid, heard) if heard == signal.SIGINT else process.send_signal(heard)
    assert process.wait(60) == 1
    assert bench.text.rstrip().endswith("type `snakemake` to do the rest."), bench.text
    assert "failed" not in bench.text and not bench.left_over()
    assert bench.run(*TARGETS) == 0, bench.text
