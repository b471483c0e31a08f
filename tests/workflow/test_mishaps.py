"""A run that is killed, and one beside another. `python -m mishaps.run` tries much more."""

import pytest

from mishaps.bench import Bench, kill
from mishaps.scenarios import SAME, refused, told
from strapline.run_lock import hold


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    return Bench(tmp_path_factory.mktemp("mishaps")).fill()


def test_a_second_run_says_so_and_changes_nothing(bench):
    with hold(bench.results):
        before = bench.count()
        assert refused(bench, bench.run(), "Another run is at work in results").startswith("told")
    assert bench.count() == before


def test_after_a_kill_a_bare_snakemake_gives_the_same(bench, tmp_path):
    targets = [f"results/sessions/{name}/metrics.parquet" for name in ("run", "ride")]
    process = bench.start(*targets)
    bench.wait_for(12, process)
    kill(process, whole_group=False)
    assert process.returncode < 0
    undisturbed = bench.copy_of_inbox(tmp_path)
    assert undisturbed.run(*targets) == 0, undisturbed.text
    assert told(bench, undisturbed.contents(), bench.run(*targets)) == SAME
