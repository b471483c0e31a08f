"""A plan of what nobody knows ends a run before it computes, with the sentence of the commands."""

import pytest
from project import Project

from strapline.running.commands import main

SETTINGS = "config/settings.yaml"


@pytest.fixture(scope="module")
def project(tmp_path_factory, repository):
    project = Project(tmp_path_factory.mktemp("project"), repository)
    project.add_session("first")
    return project


@pytest.mark.parametrize("plan", ["devices: [nope]", "activities: [rnu]"])
def test_the_run_says_what_the_commands_say(project, plan, monkeypatch, capsys):
    key = plan.partition(":")[0]
    project.edit(SETTINGS, f"  {key}: [] ", f"  {plan} ")
    monkeypatch.chdir(project.folder)
    assert main(["plan"]) == 2
    sentence = capsys.readouterr().err.strip().removeprefix("strapline: ")
    for words in (["-n"], []):
        assert sentence in project.snakemake(*words, code=2)
    assert not (project.results / "sessions").exists()
    project.edit(SETTINGS, f"  {plan} ", f"  {key}: [] ")


def test_an_activity_that_only_a_card_names_can_be_planned(project):
    """Or one that an export may name by itself, for there is no session of it yet."""
    (project.folder / "inbox" / "first" / "session.yaml").write_text("activity: boxing-bag\n")
    project.edit(SETTINGS, "  activities: [] ", "  activities: [boxing-bag, alpine-skiing] ")
    project.snakemake("-n")
    project.edit(SETTINGS, "  activities: [boxing-bag, alpine-skiing] ", "  activities: [] ")
