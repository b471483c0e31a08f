"""What keeps Snakemake's scheduler quick over thousands of short jobs."""

import threading

from snakemake.scheduling.job_scheduler import JobScheduler


def wake_once_at_a_time() -> None:
    """Let the scheduler have one timer.

    To keep its limit of jobs a second, Snakemake 9.27 sets a timer after every round, and each
    that goes off makes a round that sets another: as many rounds a second as there were jobs so
    far, so that a run takes time by the square of its jobs. One that is set already is enough.
    """

    def schedule(scheduler: JobScheduler, delay: float) -> None:
        if getattr(scheduler, "wakes", False):
            return
        scheduler.wakes = True

        def wake() -> None:
            scheduler.wakes = False
            scheduler._open_jobs.release()

        timer = threading.Timer(delay, wake)
        timer.daemon = True
        timer.start()

    JobScheduler._schedule_reevalutation = schedule
