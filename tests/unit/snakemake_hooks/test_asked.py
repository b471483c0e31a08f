"""What a command asks for is what Snakemake itself makes of it."""

import sys

import pytest
from snakemake import cli

from strapline.running.snakemake_hooks.asked import OF_ALL_JOBS, Asked, asked_by, with_config


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A project with a profile of no consequence."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "Snakefile").write_text("")
    (tmp_path / "profiles" / "default").mkdir(parents=True)
    (tmp_path / "profiles" / "default" / "config.yaml").write_text("cores: 2\n")
    return tmp_path


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["-n"],
        ["--cores", "4", "-k"],
        ["sessions"],
        ["--config", "results=forced"],
        ["--rerun-triggers", "mtime"],
        ["--batch", "sessions=1/2"],
    ],
)
def test_a_plain_run_need_not_know_of_every_job(words):
    assert not asked_by(words).of_all_jobs


@pytest.mark.parametrize(
    "words",
    [
        ["-R", "measure"],
        ["-nR", "measure"],
        ["--forcerun=measure"],
        ["--forcer", "measure"],
        ["-F"],
        ["-f", "sessions"],
        ["-t"],
        ["--until", "measure"],
        ["-U", "measure"],
        ["--omit-from", "measure"],
        ["--summary"],
        ["-D"],
        ["--dag"],
        ["--rulegraph"],
        ["--filegraph", "mermaid-js"],
        ["--d3dag"],
        ["--delete-all-output"],
        ["--list-params-changes"],
        ["--report"],
    ],
)
def test_what_forces_touches_or_shows_jobs_asks_for_all(words):
    assert asked_by(words).of_all_jobs


def test_a_profile_counts_as_the_command_does(folder):
    (folder / "profiles" / "default" / "config.yaml").write_text("forcerun: [measure]\n")
    assert asked_by([]).of_all_jobs
    assert not asked_by(["--workflow-profile", "none"]).of_all_jobs
    (folder / "other").mkdir()
    (folder / "other" / "config.yaml").write_text("forceall: true\n")
    assert asked_by(["--workflow-profile", "other"]).of_all_jobs


def test_files_are_asked_for_by_name(folder):
    asked = asked_by(["--cores", "2", "results/sessions/first/ledger.json", "demo"])
    assert asked.targets == {"results/sessions/first/ledger.json", "demo"}
    assert asked.names("first") and asked.names("demo") and not asked.names("2")
    assert asked_by(["results/report/sessions/first.html"]).names("first")
    assert not asked_by(["--config", "results=first"]).names("first")


def test_checking_the_rules_is_no_run():
    assert asked_by(["--lint"]).lint and not asked_by([]).lint
    assert asked_by(["-n"]).dry_run and not asked_by([]).dry_run


@pytest.mark.parametrize("words", [["--no-such-option"], ["--cores"], ["--profile", "no-such"]])
def test_where_snakemake_cannot_say_all_is_asked_for(capfd, words):
    assert asked_by(words) == Asked()
    assert Asked().of_all_jobs
    assert capfd.readouterr() == ("", "")


def test_where_its_parser_is_gone_or_another_all_is_asked_for(monkeypatch):
    monkeypatch.setattr(cli, "parse_args", lambda words: None)
    assert asked_by([]) == Asked()
    monkeypatch.delattr(cli, "parse_args")
    assert asked_by([]) == Asked()
    monkeypatch.setitem(sys.modules, "snakemake.cli", None)
    assert asked_by([]) == Asked()


@pytest.mark.parametrize("name", OF_ALL_JOBS)
def test_an_option_that_is_gone_asks_for_all(monkeypatch, name):
    parse = cli.parse_args

    def without(words):
        parser, options = parse(words)
        delattr(options, name)
        return parser, options

    monkeypatch.setattr(cli, "parse_args", without)
    assert asked_by([]) == Asked()


@pytest.mark.parametrize(
    ("words", "more"),
    [
        ([], ["--config", "gone=yes"]),
        (["-n", "sessions"], ["-n", "sessions", "--config", "gone=yes"]),
        (
            ["--config", "a=1", "--cores", "2"],
            ["--config", "gone=yes", "a=1", "--cores", "2"],
        ),
        (["-C", "a=1", "--", "sessions"], ["-C", "gone=yes", "a=1", "--", "sessions"]),
        (["--", "sessions"], ["--config", "gone=yes", "--", "sessions"]),
        (["--config=a=1"], ["--config=a=1", "--config", "gone=yes", "a=1"]),
    ],
)
def test_a_command_that_states_one_thing_more_asks_for_the_same(words, more):
    said = with_config(words, "gone=yes")
    assert said == more
    before, after = cli.parse_args(words)[1], cli.parse_args(said)[1]
    assert set(after.config) == {"gone=yes", *(before.config or [])}
    assert set(after.targets) == set(before.targets)
