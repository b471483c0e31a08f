"""Runs the Snakefile of this folder in this process, mended; prints the rounds that its scheduler
made, and how many jobs it looked at in all of them."""

from snakemake import cli
from snakemake.scheduling.job_scheduler import JobScheduler

from strapline.running.snakemake_hooks import quick
from strapline.running.snakemake_hooks.mending import Mending

OPTIONS = ["--cores", "2", "--force-use-threads", "--scheduler", "greedy", "--quiet", "all"]


def main() -> None:
    mending, looked = Mending(), []
    for each in quick.mends(mending):
        assert mending.mend(each)
    open_jobs = JobScheduler.open_jobs.fget

    def counted(scheduler):
        found = open_jobs(scheduler)
        looked.append(len(found))
        return found

    JobScheduler.open_jobs = property(counted)
    parser, options = cli.parse_args(OPTIONS)
    assert cli.args_to_api(options, parser)
    print(len(looked), sum(looked))


if __name__ == "__main__":
    main()
