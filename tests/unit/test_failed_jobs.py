"""What a run shows of a job that failed, here or on a cluster's node."""

from snakemake_logger_plugin_strapline import failed

# As Snakemake's plugin for Slurm 2.8 has it.
SAYS = (
    "SLURM-job '9' failed, SLURM status is: 'CANCELLED'. Detailed failure reason unavailable "
    "(status command is not 'sacct').For further error details see the cluster/cloud log and the "
    "log files of the involved rule(s)."
)
SHARE = {"rule_name": "share", "output": ["results/shares/0002"]}


def test_one_that_failed_here_is_followed_by_its_error():
    job = SHARE | {"rule_name": "measure", "rule_msg": None, "log": []}
    assert failed(job) == "Step measure failed:"


def test_one_that_failed_elsewhere_is_told_with_how_and_its_log(tmp_path):
    log = tmp_path / "9.log"
    log.touch()
    assert failed(SHARE | {"rule_msg": SAYS, "log": [str(log)]}).splitlines() == [
        "Step share failed (results/shares/0002): SLURM-job '9' failed, SLURM status is: "
        "'CANCELLED'.",
        f"  Its log: {log}",
    ]


def test_one_that_had_not_begun_left_no_log(tmp_path):
    said = failed(SHARE | {"rule_msg": SAYS, "log": [str(tmp_path / "9.log")]})
    assert said.endswith("\n  It left no log: it had not begun.")
