"""A session's package: whole, and enough to make it all again."""

import hashlib
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from strapline.running.commands import main

CARD = """\
activity: run
wearer: ada
recordings:
  - {file: strap.csv, device: strap, role: reference}
  - {file: 'watch #1.csv', device: watch, placement: left_wrist}
"""
SESSION = "intervals-in-the-park"


@pytest.fixture(scope="module")
def bench(tmp_path_factory, run_workflow):
    """A folder with the results of two sessions, one of which is packaged."""
    folder = tmp_path_factory.mktemp("bench")
    for name in ("Intervals in the park", "another"):
        session = folder / "inbox" / name
        session.mkdir(parents=True)
        # The other is a minute longer, or it would be the same session twice.
        seconds = 240 + 60 * (name == "another")
        for file, moved in (("strap", 0), ("watch #1", 4)):
            rows = [
                f"2026-03-01T10:{s // 60:02}:{s % 60:02}Z,{90 + abs(s % 80 - 40) + moved}"
                for s in range(seconds)
            ]
            (session / f"{file}.csv").write_text("\n".join(["time,heart_rate", *rows]) + "\n")
        (session / "session.yaml").write_text(CARD)
    run_workflow(folder)
    return folder


def packaged(folder, *options):
    """The package's path, after the command has written it."""
    given = ["--results", str(folder / "results"), "--inbox", str(folder / "inbox")]
    assert main(["package", SESSION, *given, *options]) == 0
    return folder / "results" / "packages" / f"{SESSION}.zip"


def test_another_can_make_the_same_of_it(bench, tmp_path):
    with zipfile.ZipFile(packaged(bench, "--with-raw-files")) as package:
        package.extractall(tmp_path)
    finished = subprocess.run(
        [sys.executable, "-m", "snakemake", "--cores", "2", "--config", "results=again"],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(tmp_path / "src")},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert finished.returncode == 0, finished.stdout + finished.stderr
    lines = (tmp_path / "results.sha256").read_text("utf-8").splitlines()
    sums = dict(reversed(line.split("  ", 1)) for line in lines)
    assert f"sessions/{SESSION}/metrics.parquet" in sums
    assert f"report/sessions/{SESSION}.html" in sums
    different = [
        name
        for name, digest in sums.items()
        if hashlib.sha256((tmp_path / "again" / name).read_bytes()).hexdigest() != digest
    ]
    assert different == []


def test_the_same_results_give_the_same_package(bench):
    first = packaged(bench).read_bytes()
    assert packaged(bench).read_bytes() == first


def test_raw_files_are_left_out_unless_asked_for(bench, capsys):
    with zipfile.ZipFile(packaged(bench)) as package:
        names = package.namelist()
        about = package.read("ABOUT-THIS-PACKAGE.md").decode()
    assert "inbox/Intervals in the park/session.yaml" in names
    assert not [name for name in names if name.startswith("inbox/") and name.endswith(".csv")]
    assert not [name for name in names if "another" in name]
    raw = (bench / "inbox" / "Intervals in the park" / "watch #1.csv").read_bytes()
    assert hashlib.sha256(raw).hexdigest() in about
    assert "left out" in capsys.readouterr().out


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="no sha256sum found")
@pytest.mark.parametrize("options", [(), ("--with-raw-files",)])
def test_every_file_is_checked_by_its_sum(bench, options, tmp_path):
    """By sha256sum of the GNU core utilities."""
    with zipfile.ZipFile(packaged(bench, *options)) as package:
        names = set(package.namelist())
        package.extractall(tmp_path)
    shown = [path for path in map(Path, names) if path.match("charts/*.json")]
    pictures = {path.stem for path in shown}
    drawn = {Path(name).stem for name in names if name.startswith("drawings/")}
    assert drawn == pictures and len(drawn) == 7

    def checked(code):
        command = ["sha256sum", "--check", "--strict", "package.sha256"]
        finished = subprocess.run(
            command, cwd=tmp_path, capture_output=True, text=True, check=False
        )
        assert finished.returncode == code
        return [line.rpartition(": ") for line in finished.stdout.splitlines()]

    found = checked(0)
    assert {name for name, _, said in found if said == "OK"} == names - {"package.sha256"}
    page = tmp_path / "results" / "report" / "sessions" / f"{SESSION}.html"
    page.write_bytes(page.read_bytes() + b"<!-- -->")
    assert [name for name, _, said in checked(1) if said != "OK"] == [
        f"results/report/sessions/{SESSION}.html"
    ]


def test_results_that_are_not_as_they_were_made_are_not_packaged(bench, capsys):
    given = ["--results", str(bench / "results"), "--inbox", str(bench / "inbox")]
    note = bench / "results" / "receipts" / "sessions" / SESSION / "metrics.parquet.json"
    written = note.read_text()
    note.write_text(written.replace('"beats": 5.0', '"beats": 4.0'))
    assert main(["package", SESSION, *given]) == 2
    note.write_text(written)
    assert "Results of measure were made by other code. Type" in capsys.readouterr().err

    page = bench / "results" / "report" / "sessions" / f"{SESSION}.html"
    kept = page.read_bytes()
    page.write_bytes(kept + b"<!-- -->")
    assert main(["package", SESSION, *given]) == 2
    page.write_bytes(kept)
    assert f"{SESSION}.html is not as it was in the last run" in capsys.readouterr().err

    assert main(["package", "elsewhere", *given]) == 2
    assert f"another, {SESSION}" in capsys.readouterr().err
