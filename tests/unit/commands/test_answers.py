"""Whatever is asked wrongly of a command is answered in one sentence, with exit code 2."""

import json
import subprocess
import sys

import pytest

from strapline.ground.versions import STRAPLINE
from strapline.running.commands import COMMANDS, main, trace
from strapline.running.commands.parser import Parser

REGISTER = (
    "devices: {strap: {label: Strap, kind: chest_strap}, watch: {label: W}, band: {label: B}}"
)


@pytest.fixture
def bench(tmp_path, monkeypatch):
    """A project before its first run."""
    (tmp_path / "config").mkdir()
    (tmp_path / "config" / "devices.yaml").write_text(REGISTER)
    (tmp_path / "config" / "settings.yaml").write_text("{}")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(capsys, *arguments):
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.startswith("strapline: ")
    assert said.err.count("\n") == 1
    return said.err.removeprefix("strapline: ").strip()


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ("trce", "there is no command 'trce'. Did you mean 'trace'? There are: "),
        ("publish", "That is for Snakemake: type `snakemake publish`."),
        ("", "this is missing: command."),
        ("--hlep", "this is missing: command."),
        (
            "trace",
            "this is missing: session, device, metric. For help, type `strapline trace --help`.",
        ),
        ("trace a b c d", "'d' does not belong here."),
        ("trace a b c --scpoe x", "'--scpoe' does not belong here. Did you mean '--scope'?"),
        ("trace a b c --rows -1", "--rows: "),
        ("trace a b c --rows 1e9", "--rows: '1e9' is not a whole number from 0 to 1000."),
        ("trace a b c --rows", "--rows: expected one argument."),
        ("new --date 2026-13-01", "--date: '2026-13-01' is not a date such as 2026-03-02."),
        ("new --date today", "--date: 'today' is not a date such as 2026-03-02."),
        (
            "new run --left wach",
            "there is no device for a wrist 'wach'. Did you mean 'watch'? There are: ",
        ),
        ("plan --settings config/setings.yaml", "config/setings.yaml is not there; did you mean "),
        ("plan --devices nowhere/devices.yaml", "nowhere/devices.yaml is not there."),
        ("plan --settings config", "config: cannot be read (Is a directory)."),
        ("plan --wide", "'--wide' does not belong here."),
        ("trace a b c", "results holds no results yet. Type `snakemake` first."),
        ("trace a b c --finding", "results/archive holds no findings yet. Type `snakemake` first."),
        ("package a", "results holds no results yet. Type `snakemake` first."),
        ("verify", "results holds no sessions yet. Type `snakemake` first."),
        ("verify --results config/devices.yaml", "config/devices.yaml holds no sessions yet."),
        (f"verify --results {'x' * 300}", ""),
        (f"trace a b c --results {'x' * 300}", ""),
        (f"new run --inbox {'x' * 300}", ""),
        (f"plan --settings {'x' * 300}", ""),
    ],
)
def test_what_cannot_be_done_is_told(bench, capsys, asked, sentence):
    assert told(capsys, *asked.split()).startswith(sentence)


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("word", ["\x1b[2J", "\udcff", "-", "--", "\n", "'", "é" * 200])
def test_odd_words_end_no_command_otherwise(bench, capsys, command, word):
    assert main([command, word, word, word, word]) == 2
    said = capsys.readouterr().err
    assert "\x1b" not in said and said.count("\n") == 1


@pytest.mark.parametrize("command", ["plan", "new"])
@pytest.mark.parametrize(
    ("plan", "sentence"),
    [
        ("devices: [wach]", "plan.devices in the settings: there is no device 'wach'. Did you"),
        (
            "devices: [strap]",
            "plan.devices in the settings: there is no device 'strap'. There are: ",
        ),
        ("activities: [rnu]", "plan.activities in the settings: there is no activity 'rnu'. Did"),
        ("week: [run, rnu]", "plan.week in the settings: there is no activity 'rnu'. Did you mean"),
    ],
)
def test_a_plan_of_what_nobody_knows_is_refused(bench, capsys, command, plan, sentence):
    (bench / "config" / "settings.yaml").write_text(f"plan: {{{plan}}}")
    assert told(capsys, command).startswith(sentence)
    assert not (bench / "inbox").exists()


def test_an_activity_under_activities_can_be_planned(bench, capsys):
    text = "plan: {activities: [boxing]}\nactivities: {boxing: []}"
    (bench / "config" / "settings.yaml").write_text(text)
    assert main(["plan"]) == 0
    assert "  1. Boxing, " in capsys.readouterr().out


@pytest.mark.parametrize(
    ("activity", "remark"),
    [
        ("run", None),
        ("rnu", "This is the first session of the activity 'rnu'. Did you mean 'run'?"),
        ("boxing", "This is the first session of the activity 'boxing'.\n"),
    ],
)
def test_a_new_activity_is_begun_with_a_remark(bench, capsys, activity, remark):
    assert main(["new", activity]) == 0
    said = capsys.readouterr().out
    assert "first session" not in said if remark is None else remark in said


@pytest.mark.parametrize("content", ["", "{}", "null", "[1]", '{"session": 3}', "\x00"])
def test_a_document_of_another_version_is_told(bench, capsys, content):
    session = bench / "results" / "sessions" / "s"
    session.mkdir(parents=True)
    (session / "ledger.json").write_text(content)
    (session / "intake.json").write_text(content)
    assert "results/sessions/s" in told(capsys, "package", "s")
    assert "There is no results/sessions/s/metrics.parquet." in told(capsys, "trace", "s", "a", "b")


def test_a_table_of_another_version_is_told(bench, capsys):
    archive = bench / "results" / "archive"
    archive.mkdir(parents=True)
    (archive / "sessions.parquet").write_bytes(json.dumps({}).encode())
    for command in ("plan", "new"):
        said = told(capsys, command)
        assert said.startswith("results/archive/sessions.parquet is not as this version of ")
        assert "(it is no Parquet table). Type `snakemake` to write it again." in said


def test_the_version_is_told(capsys):
    with pytest.raises(SystemExit, match="0"):
        main(["--version"])
    assert capsys.readouterr().out == f"Strapline {STRAPLINE}\n"


def test_a_figure_may_be_asked_for_in_capitals(bench, capsys):
    """As reports print it: MAE."""
    parser = Parser()
    trace.describe(parser)
    assert parser.parse_args(["a", "b", "MAE"]).metric == "mae"


ASKED_FOR_HELP = """
import sys
from strapline.running.commands import main
try:
    main(["verify", "--help"])
finally:
    print([name for name in ("altair", "strapline.running.commands.new") if name in sys.modules])
"""


def test_a_command_does_not_wait_for_what_only_others_need():
    words = [sys.executable, "-c", ASKED_FOR_HELP]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
