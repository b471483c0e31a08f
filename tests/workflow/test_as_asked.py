"""What a run is asked means what Snakemake's manual says, on the command line and in a profile."""

import pytest

PROFILE = "profiles/default/config.yaml"


@pytest.fixture
def project(built):
    profile = built.folder / PROFILE
    before = profile.read_text()
    yield built
    profile.write_text(before)


def stated(project, line):
    """With one line more in the profile."""
    profile = project.folder / PROFILE
    profile.write_text(f"{profile.read_text()}{line}\n")
    return project


def test_jobs_are_forced_alike_by_the_command_and_by_a_profile(project):
    plan = project.plan("-R", "measure")
    assert plan["measure"] == 2 and "align" not in plan
    assert stated(project, "forcerun: [measure]").plan() == plan


def test_everything_is_forced_alike(project):
    plan = project.plan("--forceall")
    assert plan["parse"] == 4
    assert stated(project, "forceall: true").plan() == plan


def test_a_run_until_a_rule_knows_the_rule(project):
    assert project.plan("--until", "measure") == {}
    assert set(project.plan("--until", "measure", "-R", "align")) == {"align", "measure"}


def test_every_rule_is_in_the_graph_of_rules(project):
    graph = project.snakemake("--rulegraph")
    for rule in ("parse", "intake", "normalise", "align", "measure", "episodes", "session_page"):
        assert f'label = "{rule}"' in graph


def test_the_summary_names_every_file(project):
    said = project.snakemake("--summary")
    assert "results/sessions/first/metrics.parquet" in said


def test_the_name_of_a_session_elsewhere_asks_for_nothing_of_it(project):
    (project.folder / "first").mkdir()
    assert "Nothing has changed" in project.snakemake("-n", "--shadow-prefix", "first")
