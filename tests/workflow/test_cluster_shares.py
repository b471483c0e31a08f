"""What a cluster's jobs would be; tests/cluster/run has them done by a real one."""

import re
import shlex
import shutil
import subprocess
import sys

from snakemake.cli import parse_config


def test_every_session_is_in_one_share(repository, tmp_path):
    sessions = [f"s-{number}" for number in range(5)]
    for session in sessions:
        (tmp_path / "in box" / session).mkdir(parents=True)
        (tmp_path / "in box" / session / "strap.csv").touch()
    shutil.copytree(repository / "config", tmp_path / "config")
    command = [sys.executable, "-m", "snakemake", "cluster", "--dry-run", "--printshellcmds"]
    command += ["--snakefile", repository / "Snakefile", "--cores", "3"]
    command += ["--workflow-profile", "none"]  # with Snakemake's own list of jobs
    command += ["--config", "inbox=in box", "results=my results", "sessions_a_share=2"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=True)
    runs = [
        shlex.split(line) for line in (done.stdout + done.stderr).splitlines() if "--nolock" in line
    ]
    shares = [re.findall(r"sessions/(s-\d)/ledger.json", " ".join(run)) for run in runs]
    assert sorted(map(len, shares)) == [0, 1, 2, 2]  # the one without is the archive's
    assert sorted(session for share in shares for session in share) == sessions
    assert all(run[run.index("--cores") + 1] == "3" for run in runs)
    for run in runs:
        given = run[run.index("--config") + 1 : run.index("--")]
        assert {"inbox": "in box", "results": "my results"}.items() <= parse_config(given).items()
    (last,) = [run for run in runs if "rm" in run]
    assert last[last.index("-rf") + 1 : last.index("&&")] == ["my results/shares"]
