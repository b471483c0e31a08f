"""What a run shows on the terminal: how far it is, and what went wrong; nothing else.

Snakemake finds this package by the beginning of its name. The complete record of a run is in
`.snakemake/log/`; `snakemake --workflow-profile none` is Snakemake's own way of showing it.
"""

import logging
import sys
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from snakemake_interface_logger_plugins.base import LogHandlerBase
from snakemake_interface_logger_plugins.common import LogEvent

from strapline.ground.words import in_figures
from strapline.running.lines import wrapped
from strapline.running.machine import trouble_in

SECONDS_BETWEEN_LINES = 30.0
# Before, it is too little to go by.
SECONDS_UNTIL_TOLD = 20.0
# The first ones are no sample of the rest.
STEPS_UNTIL_TOLD = 5
WIDEST = 80
NOTHING_TO_DO = "Nothing to be done"
NOTHING_CHANGED = "Nothing has changed since the last run: what you asked for is up to date."
REASONS = "Reasons:"
# Snakemake's reasons in our words; any other as it is.
IN_WORDS = {
    "output files have to be generated": "not made yet",
    "incomplete output files": "cut short before",
    "updated input files": "made from what has changed",
    "set of input files has changed since last execution": "made from other files",
    "params have changed since last execution": "another method, card, device or export",
    "code has changed since last execution": "another rule",
    "forced": "asked for again",
}
# What follows from a job that has a reason of its own.
FOLLOWS = "input files updated by another job"
NO_STEPS = ("all", "sessions", "publish", "total")
# Where a dry run has every step's name, and Snakemake's own each job, with its files and reasons.
EVERY_JOB = "In full: snakemake -n -p; with files: snakemake -n --workflow-profile none"
MOST_NAMED = 4
# What Slurm's plugin adds to how a job ended.
TOLD_ELSEWHERE = ("Detailed failure reason unavailable", "For further error details")
SENT_AGAIN = "Trying to restart job"
# What the closing lines say better; and guesses of Slurm's plugin, whose failure Slurm tells of.
SAID_ELSEWHERE = (
    "At least one job did not complete",
    "Exiting because a job execution failed",
    "No SLURM account given",
    "No account was given",
    "Unable to guess SLURM account",
)
# Snakemake's advice where it cannot write its own notes.
NO_NOTES = "ensure write permissions"


def seconds_left(done: int, total: int, seconds: float) -> float:
    """After so many seconds of steps, if those to come take as long: sessions are done one after
    the other, and so any part of a run is like the rest."""
    return seconds * (total - done) / done


def time_left(done: int, total: int, seconds: float) -> str:
    """', about 12 min left'; '' as long as too little is done to say so, and at the end."""
    if seconds < SECONDS_UNTIL_TOLD or done < STEPS_UNTIL_TOLD or done == total:
        return ""
    minutes = seconds_left(done, total, seconds) / 60
    return f", about {minutes:.0f} min left" if minutes >= 1 else ", less than a minute left"


def steps(stats: Mapping[str, int], in_full: bool = False) -> str:
    """How often each rule would run: '8 steps: align 3, measure 3; once each: site, plan.' Of many
    that run once their number, unless `in_full`."""
    counts = {rule: count for rule, count in stats.items() if rule not in NO_STEPS}
    often = ", ".join(f"{rule} {count}" for rule, count in counts.items() if count > 1)
    singles = [rule for rule, count in counts.items() if count == 1]
    is_short = in_full or len(singles) <= MOST_NAMED
    once = ", ".join(singles) if is_short else f"{len(singles)} others"
    said = in_figures(sum(counts.values()), "step") + (f": {often}" if often else "")
    said += f"{';' if often else ','} once each: {once}" if once else ""
    return "\n".join(wrapped(f"{said}.", 0))


def reasons(text: str) -> str:
    """Why the run begins where it does; `text` as Snakemake has it, two lines a reason."""
    _, *lines = [line.strip() for line in text.splitlines() if "individual jobs above" not in line]
    pairs = zip(lines[::2], lines[1::2], strict=False)
    own = [
        f"{IN_WORDS.get(why.rstrip(':'), why.rstrip(':'))}: {rules}"
        for why, rules in pairs
        if not why.startswith(FOLLOWS)
    ]
    return "\n".join([REASONS, *(line for why in own for line in wrapped(why, 2))])


def failed(job: dict[str, Any]) -> str:
    """Of a job that failed here, what follows is the error; of one on a cluster's node, how it
    ended and its log. Snakemake's own form lists every input, thousands for the archive's steps."""
    why = job.get("rule_msg") or ""
    for elsewhere in TOLD_ELSEWHERE:
        why = why.partition(elsewhere)[0].strip()
    if not why:
        return f"Step {job['rule_name']} failed:"
    logs = [f"  Its log: {path}" for path in job["log"] if Path(path).exists()]
    which = f" ({', '.join(job['output'])})" if job["output"] else ""
    lines = [f"Step {job['rule_name']} failed{which}: {why}"]
    return "\n".join([*lines, *(logs or ["  It left no log: it had not begun."])])


class LogHandler(LogHandlerBase):
    def __post_init__(self) -> None:
        self._last_shown = time.monotonic()
        # When the first job began: until then Snakemake lists them.
        self._began: float | None = None
        self._at_work = ""
        self._line_is_open = False
        self._counted = False
        self._targets = 0

    def emit(self, record: logging.LogRecord) -> None:
        event = getattr(record, "event", None)
        if event == LogEvent.JOB_ERROR:
            self._say(failed(record.__dict__))
        elif record.levelno >= logging.WARNING:
            self._say_what_is_wrong(self.format(record))
        elif self.common_settings.dryrun:
            self._show_plan(record, event)
        elif event == LogEvent.RUN_INFO:
            stats = record.__dict__["stats"]
            self._targets = sum(stats.get(name, 0) for name in NO_STEPS if name != "total")
        elif event == LogEvent.JOB_INFO:
            self._began = self._began or time.monotonic()
            self._at_work = record.__dict__["rule_name"].replace("_", " ")
        elif event == LogEvent.PROGRESS:
            total = record.__dict__["total"] - self._targets
            if record.__dict__["done"] <= total:
                self._show_progress(record.__dict__["done"], total)
        elif event is None and record.getMessage().startswith(NOTHING_TO_DO):
            self._say(NOTHING_CHANGED)
        elif event is None and record.getMessage().startswith(SENT_AGAIN):
            self._say("It is sent again.")

    def _show_plan(self, record: logging.LogRecord, event: object) -> None:
        """Of a dry run: how many jobs of each rule would be done, and where it begins. There can
        be tens of thousands of jobs."""
        text = record.getMessage()
        if event == LogEvent.RUN_INFO and not self._counted:
            # It comes again at the end.
            self._counted = True
            self._say(steps(record.__dict__["stats"], self.common_settings.printshellcmds))
        elif event is None and text.startswith(REASONS):
            self._say(f"{reasons(text)}\n{EVERY_JOB}")
        elif event is None and text.startswith(NOTHING_TO_DO):
            self._say(NOTHING_CHANGED)

    def _say_what_is_wrong(self, text: str) -> None:
        if any(sentence in text for sentence in SAID_ELSEWHERE):
            return
        self._say(text)
        if NO_NOTES in text and (trouble := trouble_in(Path(".snakemake"))):
            self._say(str(trouble))

    def _say(self, text: str) -> None:
        if self._line_is_open:
            sys.stderr.write("\n")
            self._line_is_open = False
        sys.stderr.write(f"{text}\n")

    def _show_progress(self, done: int, total: int) -> None:
        """One line, written over on a terminal; elsewhere a new one twice a minute."""
        on_terminal = sys.stderr.isatty()
        now = time.monotonic()
        # In a log the closing lines say that all is done.
        is_due = now - self._last_shown >= SECONDS_BETWEEN_LINES and done < total
        if not (on_terminal or is_due):
            return
        self._last_shown = now
        seconds = now - (self._began or now)
        line = f"{done} of {total} steps done{time_left(done, total, seconds)}"
        line += f"; now: {self._at_work}" if self._at_work and done < total else ""
        # What was longer before is written over.
        line = line.ljust(WIDEST) if on_terminal else line
        sys.stderr.write(f"\r{line}" if on_terminal else f"{line}\n")
        self._line_is_open = on_terminal and done < total
        if on_terminal and done == total:
            sys.stderr.write("\n")
        sys.stderr.flush()

    @property
    def writes_to_stream(self) -> bool:
        return True

    @property
    def writes_to_file(self) -> bool:
        return False

    @property
    def has_filter(self) -> bool:
        return False

    @property
    def has_formatter(self) -> bool:
        return False

    @property
    def needs_rulegraph(self) -> bool:
        return False
