"""What the command asks of this run, as Snakemake itself reads it, profiles included."""

import io
from collections.abc import Sequence
from contextlib import redirect_stderr, redirect_stdout
from typing import Any, NamedTuple

from strapline.running.snakemake_hooks.mending import UNLIKE

# What shows, touches, deletes or forces jobs, or says where to begin or end: Snakemake must know of
# every job there is.
OF_ALL_JOBS = (
    "force",
    "forceall",
    "forcerun",
    "touch",
    "until",
    "omit_from",
    "allowed_rules",
    "consider_ancient",
    "dag",
    "rulegraph",
    "filegraph",
    "d3dag",
    "summary",
    "detailed_summary",
    "list_changes",
    "list_input_changes",
    "list_params_changes",
    "list_untracked",
    "delete_all_output",
    "delete_temp_output",
    "cleanup_metadata",
    "report",
    "report_after_run",
    "archive",
    "containerize",
    "export_cwl",
    "generate_unit_tests",
)


class Asked(NamedTuple):
    """`of_all_jobs`: whether Snakemake must know of every job; `targets`: the files and rules that
    are asked for by name; `lint`: whether the rules are only to be checked; `dry_run`: whether it
    is only to be said what would be done."""

    of_all_jobs: bool = True
    targets: frozenset[str] = frozenset()
    lint: bool = False
    dry_run: bool = False

    def names(self, word: str) -> bool:
        """Whether a target is called that, or is a file of a session that is."""
        return any(
            word in (target, *(part.split(".")[0] for part in target.split("/")))
            for target in self.targets
        )


def asked_by(words: Sequence[str]) -> Asked:
    """By the words of the command. Where Snakemake cannot say, all jobs are asked for."""
    options = _parsed(words)
    try:
        return Asked(
            any(getattr(options, name) for name in OF_ALL_JOBS),
            frozenset(map(str, options.targets)),
            options.lint is not None,
            bool(options.dryrun),
        )
    except UNLIKE:
        return Asked()


def with_config(words: Sequence[str], stated: str) -> list[str]:
    """The words of a command that says the same, and states this in its config besides."""
    known = _said(words)
    if known is not None:
        config, targets = known
        wanted = ({stated, *config}, targets)
        places = range(len(words) + 1)
        tried = [[*words[:i], stated, *words[i:]] for i in places]
        # Of two options, Snakemake takes the last.
        anew = ["--config", stated, *sorted(config)]
        tried += [[*words[:i], *anew, *words[i:]] for i in reversed(places)]
        for said in tried:
            if _said(said) == wanted:
                return said
    return [*words, "--config", stated]


def _said(words: Sequence[str]) -> tuple[set[str], set[str]] | None:
    """What a command states in its config, and what it asks for by name."""
    try:
        options = _parsed(words)
        return set(options.config or ()), set(map(str, options.targets))
    except UNLIKE:
        return None


def _parsed(words: Sequence[str]) -> Any:
    """What Snakemake makes of the words of its command; None where it does not tell."""
    try:
        from snakemake.cli import parse_args

        # It says which profile it uses, which it has said already.
        with redirect_stderr(io.StringIO()), redirect_stdout(io.StringIO()):
            _, options = parse_args(list(words))
    except (Exception, SystemExit):
        return None
    return options
