"""A session's package: whole, with the settings, register and versions that its figures were made
with, and enough to make it all again."""

import hashlib
import json
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
import yaml
from project import Project

from strapline.ground.files import sha256_of
from strapline.ground.versions import versions
from strapline.running.commands import main

FOLDER, SESSION = "Intervals in the park", "intervals-in-the-park"
REGISTER = """
devices:
  spare: {label: Zinnober}
  watch: {label: My own watch}
  other: {label: Quittengelb}
  strap: {label: My strap, kind: chest_strap}
  last: {label: Ultramarin}
"""
CARD = """
activity: run
wearer: ada
recordings:
  - {file: strap.csv, device: strap, role: reference}
  - {file: 'watch #1.csv', device: watch, placement: left_wrist}
"""


@pytest.fixture(scope="module")
def project(with_looks, tmp_path_factory, repository):
    """Two sessions, with settings and a register of its own, which were changed after the run."""
    project = Project(with_looks(tmp_path_factory.mktemp("project")), repository)
    for name in (FOLDER, "another"):
        project.add_session(name)
        place = project.folder / "inbox" / name
        (place / "watch.csv").rename(place / "watch #1.csv")
        (place / "session.yaml").write_text(CARD)
    (project.folder / "config" / "devices.yaml").write_text(REGISTER)
    project.edit("config/settings.yaml", "  beats: 5\n", "  beats: 4\n")
    project.snakemake()
    project.edit("config/settings.yaml", "  beats: 4\n", "  beats: 3\n")
    project.edit("config/devices.yaml", "My own watch", "Called otherwise since")
    return project


@pytest.fixture
def package(project, monkeypatch):
    """A function that packages the session and gives the open package."""
    monkeypatch.chdir(project.folder)

    def make(*options):
        assert main(["package", SESSION, *options]) == 0
        return zipfile.ZipFile(project.results / "packages" / f"{SESSION}.zip")

    return make


@pytest.fixture
def receipts(project):
    """The session's receipts; whatever a test does to them is undone."""
    folder = project.results / "receipts"
    paths = sorted(path for path in folder.rglob("*.json") if SESSION in path.as_posix())
    kept = {path: path.read_bytes() for path in paths}
    yield paths
    for path, content in kept.items():
        path.write_bytes(content)


def change(path, **changed):
    path.write_text(json.dumps(json.loads(path.read_bytes()) | changed))


def test_another_can_make_the_same_of_it(package, tmp_path):
    with package("--with-raw-files") as made:
        made.extractall(tmp_path)
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
    assert len(sums) > 30
    assert f"sessions/{SESSION}/metrics.parquet" in sums
    assert f"report/sessions/{SESSION}.html" in sums
    assert [n for n, digest in sums.items() if sha256_of(tmp_path / "again" / n) != digest] == []


def test_the_same_results_give_the_same_package(package):
    first, second = (Path(package().filename).read_bytes() for _ in range(2))
    assert first == second


def test_raw_files_are_left_out_unless_asked_for(package, project, capsys):
    with package() as made:
        names = made.namelist()
        about = made.read("ABOUT-THIS-PACKAGE.md").decode()
    assert f"inbox/{FOLDER}/session.yaml" in names
    assert not [name for name in names if name.startswith("inbox/") and name.endswith(".csv")]
    assert not [name for name in names if "another" in name]
    raw = (project.folder / "inbox" / FOLDER / "watch #1.csv").read_bytes()
    assert hashlib.sha256(raw).hexdigest() in about
    assert "left out" in capsys.readouterr().out


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="no sha256sum found")
@pytest.mark.parametrize("options", [(), ("--with-raw-files",)])
def test_every_file_is_checked_by_its_sum(package, options, tmp_path):
    """By sha256sum of the GNU core utilities."""
    with package(*options) as made:
        names = set(made.namelist())
        made.extractall(tmp_path)
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


def test_results_that_are_not_as_they_were_made_are_not_packaged(project, monkeypatch, capsys):
    monkeypatch.chdir(project.folder)
    note = project.results / "receipts" / "sessions" / SESSION / "metrics.parquet.json"
    written = note.read_text()
    note.write_text(written.replace('"beats": 4.0', '"beats": 5.0'))
    assert main(["package", SESSION]) == 2
    note.write_text(written)
    assert "Results of measure were made by other code. Type" in capsys.readouterr().err

    page = project.results / "report" / "sessions" / f"{SESSION}.html"
    kept = page.read_bytes()
    page.write_bytes(kept + b"<!-- -->")
    assert main(["package", SESSION]) == 2
    page.write_bytes(kept)
    assert f"{SESSION}.html is not as it was in the last run" in capsys.readouterr().err

    assert main(["package", "elsewhere"]) == 2
    assert f"another, {SESSION}" in capsys.readouterr().err


def test_settings_and_register_are_those_of_the_figures(package):
    with package() as made:
        settings = yaml.safe_load(made.read("config/settings.yaml"))
        devices = yaml.safe_load(made.read("config/devices.yaml"))["devices"]
        everything = b"".join(made.read(name) for name in made.namelist() if "src/" not in name)
    assert settings["tolerance"] == {"beats": 4.0, "percent": 10.0}
    assert devices["watch"]["label"] == "My own watch" and devices["strap"]["label"] == "My strap"
    assert list(devices) == ["spare", "watch", "strap"]
    for other in (b"Zinnober", b"Quittengelb", b"Ultramarin", b"Called otherwise"):
        assert other not in everything


def test_versions_are_those_of_the_figures(package, receipts, capsys):
    assert versions().keys() >= {"python", "strapline", "numpy", "scipy", "pandas", "pyarrow"}
    for path in receipts:
        assert json.loads(path.read_bytes())["versions"] == versions()
        change(path, versions=versions() | {"numpy": "1.2.3"})
    with package() as made:
        listed = made.read("versions.txt").decode().splitlines()
    assert "numpy==1.2.3" in listed and f"python=={versions()['python']}" in listed
    said = capsys.readouterr().out
    assert "Made with " in said and "numpy 1.2.3" in said and "Not all" not in said
    assert main(["trace", SESSION, "watch", "mae"]) == 0
    assert "numpy 1.2.3" in " ".join(capsys.readouterr().out.split())


def test_mixed_versions_are_told(package, receipts, capsys):
    change(receipts[0], versions=versions() | {"numpy": "1.2.3"})
    with package() as made:
        about = made.read("ABOUT-THIS-PACKAGE.md").decode()
    for said in (capsys.readouterr().out, about):
        assert f"numpy 1.2.3 and {versions()['numpy']}" in said
        assert "Not all of it with the same numpy." in said
    main(["verify"])
    assert "Not all of it with the same numpy" in capsys.readouterr().out


def test_the_page_of_origins_says_by_which_versions(project):
    page = project.results / "report" / "sessions" / f"{SESSION}.origin.html"
    assert f"numpy {versions()['numpy']}" in page.read_text("utf-8")


def test_receipts_that_do_not_say_are_not_packaged(project, receipts, monkeypatch, capsys):
    monkeypatch.chdir(project.folder)
    for path in receipts:
        change(path, devices=None)
    assert main(["package", SESSION]) == 2
    told = capsys.readouterr().err
    assert "No receipt says which register this was made with. Type `snakemake --forceall`" in told
