"""A run on a real Slurm, with what goes wrong on one: the results are a plain run's, to the byte.

It installs nothing: where Slurm and munge are not installed, it is skipped.
"""

import contextlib
import importlib.util
import os
import signal

import pytest

from cluster.slurm import LONGEST_S, NoSlurm, missing, started, until
from mishaps.bench import REPOSITORY, Bench, differences, kill
from strapline.running.run_lock import NO_MORE
from strapline.running.signs import holder

pytestmark = [pytest.mark.cluster, pytest.mark.slow]
A_SHARE = 2
PROFILE = ("cluster", "--workflow-profile", str(REPOSITORY / "profiles" / "slurm"))
# What nodes of one core can do, looked at more often.
SMALL = (
    *("--config", f"sessions_a_share={A_SHARE}"),
    *("--set-threads", "share=1", "cluster=1"),
    *("--default-resources", "mem_mb=1", "runtime=60", "slurm_partition={partition}"),
    *("--latency-wait", "5", "--slurm-init-seconds-before-status-checks", "5"),
)


@pytest.fixture(scope="module")
def slurm():
    if names := missing():
        pytest.skip(f"needs {', '.join(names)}: on Debian, apt-get install slurm-wlm munge")
    if importlib.util.find_spec("snakemake_executor_plugin_slurm") is None:
        pytest.skip("needs Snakemake's plugin for Slurm: pip install -e '.[cluster]'")
    with contextlib.ExitStack() as stack:
        try:
            slurm = stack.enter_context(started())
        except NoSlurm as error:
            pytest.skip(f"needs a machine on which Slurm begins: {error}")
        yield slurm


def filled(folder, sessions):
    bench = Bench(folder)
    for number in range(sessions):
        bench.add_session(f"ride-{number}", number + 1)
    return bench


@pytest.fixture
def sent(slurm):
    """A function that begins a run over a bench on the cluster; it ends with the test."""
    runs = []

    def begin(bench, partition="day"):
        words = [word.format(partition=partition) for word in (*PROFILE, *SMALL)]
        runs.append(bench.start(*words, "--cores", "1", **slurm.environment))
        return runs[-1]

    yield begin
    for run in runs:
        kill(run, whole_group=run.poll() is None)


def test_what_no_node_takes_is_refused_and_nothing_is_sent(slurm, tmp_path):
    bench = filled(tmp_path, 1)
    assert bench.run(*PROFILE, "--cores", "8", **slurm.environment) == 2
    assert "A job asks for 8 cores, 8000 MB and 60 min, and no node takes that." in bench.text
    assert "2 nodes of 1 core, 1 MB and 120 min at most (partition day); " in bench.text
    assert slurm.jobs() == []


def test_results_are_a_plain_runs_whatever_happens(slurm, sent, with_looks, tmp_path):
    bench, waiting = filled(tmp_path / "cluster", 2 * A_SHARE), filled(tmp_path / "waiting", 1)
    sent(waiting, "night")

    # The run is killed, and a share of it is still at work.
    run = sent(bench)
    until(lambda: holder(bench.results / ".run-share-0001"))
    share = holder(bench.results / ".run-share-0001")
    os.kill(share.process, signal.SIGSTOP)  # so that it is not done too soon
    kill(run, whole_group=True)
    assert bench.run() == 2
    assert f"share-0001 (job {share.job}, process {share.process})" in bench.text
    assert f"type `scancel {share.job}" in bench.text
    os.kill(share.process, signal.SIGCONT)
    until(lambda: not slurm.jobs())
    assert NO_MORE in next(bench.folder.rglob(f"slurm_logs/**/{share.job}.log")).read_text()

    # There are two sessions more. A share of these is cancelled, and the node of another dies;
    # Slurm by itself would wait two minutes before it uses another node.
    for number in range(2 * A_SHARE, 3 * A_SHARE):
        bench.add_session(f"ride-{number}", number + 1)
    plain = bench.copy_of_inbox(with_looks(tmp_path / "plain"))
    run = sent(bench)
    until(lambda: len(slurm.jobs("--states=running")) == 2)
    (cancelled,) = slurm.jobs("--nodelist=n2")
    (dead,) = slurm.jobs("--nodelist=n1")
    slurm.say("scancel", cancelled)
    slurm.kill_node("n1")
    until(lambda: dead in slurm.jobs("--states=pending"))
    slurm.say("scontrol", "update", f"jobid={dead}", "starttime=now")
    assert plain.run() == 0
    assert run.wait(LONGEST_S) == 0, bench.text
    assert f"SLURM-job '{cancelled}' failed, SLURM status is: 'CANCELLED'." in bench.text
    log = next(bench.folder.rglob(f"slurm_logs/**/{cancelled}.log"))
    assert f"Its log: {log}\nIt is sent again." in bench.text
    assert "6 sessions, " in bench.text
    assert differences(bench.contents(), plain.contents()) == []
    assert list(bench.folder.rglob("slurm-*.out")) == []
    until(lambda: "has waited for a minute. Slurm's reason: PartitionDown." in waiting.text)
