"""Settings out of range stop a run and a command with a sentence; at their ends all goes on."""

import pytest
import yaml
from project import Project

from document_numbers import numbers_of
from strapline.ground.settings import Settings
from strapline.running.commands import main

KINDS = {
    "infinite": "grid: {longest_gap_s: .inf}",
    "no number": "grid: {longest_gap_s: .nan}",
    "too large": "grid: {longest_gap_s: 1.0e+308}",
    "far too large": f"grid: {{longest_gap_s: 1{400 * '0'}}}",
    "negative": "grid: {longest_gap_s: -1}",
    "zero": "grid: {longest_gap_s: 0}",
    "text": "grid: {longest_gap_s: ten}",
    "crossed": "episodes: {enter_bpm: 5, leave_bpm: 6}",
    "unseen": "presentation: {ink: '#ffffff'}",
    "of no place": "clock: {time_zone: localtime}",
}


@pytest.fixture(scope="module")
def project(tmp_path_factory, repository):
    project = Project(tmp_path_factory.mktemp("project"), repository)
    project.add_session("2026-03-01 run")
    (project.results / "sessions").mkdir(parents=True)
    return project


@pytest.mark.parametrize("kind", KINDS)
def test_a_setting_that_cannot_be_is_told_everywhere(project, monkeypatch, capsys, kind):
    monkeypatch.chdir(project.folder)
    (project.folder / "bad.yaml").write_text(KINDS[kind])
    key = KINDS[kind].partition(":")[0]
    for command in ("plan", "verify", "new"):
        assert main([command, "--settings", "bad.yaml"]) == 2
        told = capsys.readouterr().err
        assert told.count("\n") == 1 and f"bad.yaml: '{key}" in told


def test_a_run_tells_it_too(project):
    (project.folder / "bad.yaml").write_text(KINDS["infinite"])
    told = project.snakemake("-n", "--config", "settings=bad.yaml", code=2)
    assert "bad.yaml: 'grid.longest_gap_s' is inf; it should be a number from 1 to 120." in told
    assert "Traceback" not in told


@pytest.mark.parametrize("end", ["minimum", "maximum"])
def test_a_run_goes_on_at_every_end_at_once(project, monkeypatch, end):
    content = Settings().model_dump(mode="json")
    for place, node in numbers_of("settings").items():
        part = content
        for key in place[:-1]:
            part = part[key]
        part[place[-1]] = node[end]
    ends = project.folder / f"{end}.yaml"
    ends.write_text(yaml.safe_dump(content))
    project.snakemake("--config", f"settings={ends.name}", f"results={end}")
    monkeypatch.chdir(project.folder)
    where = ["--settings", ends.name, "--results", end]
    assert main(["verify", *where, "--devices", "config/devices.yaml"]) == 0
    assert main(["plan", *where]) == 0
