"""The mended scheduler, on real jobs: its rounds, and what each looks at, do not grow with them."""

import subprocess
import sys
from pathlib import Path

JOBS = 300
SNAKEFILE = f"""
rule all:
    input: expand("made/{{n}}", n=range({JOBS}))

rule one:
    output: "made/{{n}}"
    run: open(output[0], "w").close()
"""


def test_a_round_a_job_and_few_jobs_a_round(tmp_path):
    (tmp_path / "Snakefile").write_text(SNAKEFILE)
    script = Path(__file__).with_name("count_rounds.py")
    ran = subprocess.run(
        [sys.executable, str(script)], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stderr
    rounds, looked = map(int, ran.stdout.split()[-2:])
    assert len(list((tmp_path / "made").iterdir())) == JOBS
    assert rounds <= 2 * JOBS
    # Two cores, two jobs that wait, and eight to choose among.
    assert looked <= 12 * rounds
