"""A package holds the settings, register and versions that the figures were made with."""

import json
import os
import subprocess
import sys
import zipfile

import pytest
import yaml
from project import Project

from strapline.ground.files import sha256_of
from strapline.ground.versions import versions
from strapline.running.commands import main

SESSION = "2026-03-01-run"
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
recordings:
  - {file: strap.csv, device: strap, role: reference}
  - {file: watch.csv, device: watch, placement: left_wrist}
"""


@pytest.fixture(scope="module")
def project(tmp_path_factory, repository):
    """With settings and a register of its own, which were changed after the run."""
    project = Project(tmp_path_factory.mktemp("project"), repository)
    project.add_session("2026-03-01 run")
    (project.folder / "inbox" / "2026-03-01 run" / "session.yaml").write_text(CARD)
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


def test_what_is_in_the_package_makes_the_same_again(package, tmp_path):
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
    assert [n for n, digest in sums.items() if sha256_of(tmp_path / "again" / n) != digest] == []


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


def test_a_package_made_twice_is_the_same(package, project):
    path = project.results / "packages" / f"{SESSION}.zip"
    package().close()
    first = path.read_bytes()
    package().close()
    assert path.read_bytes() == first
